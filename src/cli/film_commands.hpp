// SPDX-License-Identifier: GPL-3.0-or-later
#pragma once

#include <filesystem>
#include <optional>
#include <string>
#include <vector>

#include "basefog/film/film_profile.hpp"
#include "basefog/roll/film_test_frames.hpp"

namespace CLI {
class App;
}

namespace basefog::cli {

/// The film that --film names: bw, colour, chromogenic (at ISO 100 until a speed is stated), or a
/// profile file. Throws InputError (not_found, malformed).
film::FilmProfile named_film(const std::string& name);

/// The words of `basefog film`, as given.
struct FilmArguments {
  std::string film;
  std::string developed;  ///< of a remembered film
  std::optional<double> film_speed;
  std::optional<std::filesystem::path> ledger;
  std::optional<std::filesystem::path> out;   ///< a profile file
  std::optional<std::filesystem::path> plot;  ///< SVG
  std::optional<std::filesystem::path> json;
};

/// Prints a film with its speeds, gradients and limits: a kind, a profile, or one that the ledger
/// remembers, with what is known of it and from where.
int run_film(const FilmArguments& arguments);

/// The words of `basefog calibrate film`, as given.
struct CalibrateFilmArguments {
  std::vector<std::filesystem::path> inputs;  ///< scans with --log, or one densitometer table
  std::optional<std::filesystem::path> log;
  std::string film = "bw";  ///< the kind: bw, colour, chromogenic
  std::optional<double> film_speed;
  std::string response;            ///< of scans
  bool trusted_exposures = false;  ///< known apart from the camera's own meter
  double exposure_scatter = roll::FilmTestFrameOptions{}.exposure_sigma_stops;  ///< of scans
  std::optional<std::filesystem::path> out;   ///< the profile file
  std::optional<std::filesystem::path> plot;  ///< SVG
};

/// Works out a film test, prints it, and writes profile and plot.
int run_calibrate_film(const CalibrateFilmArguments& arguments);

/// `basefog film KIND|FILE|NAME`
void add_film_command(CLI::App& app, int& status);

/// `basefog calibrate film INPUT...`
void add_calibrate_film_command(CLI::App& calibrate, int& status);

}  // namespace basefog::cli
