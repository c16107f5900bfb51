// SPDX-License-Identifier: GPL-3.0-or-later
#pragma once

#include <filesystem>
#include <memory>
#include <optional>
#include <string>
#include <vector>

#include "basefog/density/scan_store.hpp"
#include "basefog/reading/frame_reading.hpp"
#include "basefog/roll/analysis.hpp"
#include "cli/outputs.hpp"

namespace CLI {
class App;
class Option;
}  // namespace CLI

namespace basefog::cli {

/// What every command that reviews a roll takes: the scans and how they are to be read.
struct RollArguments {
  std::vector<std::filesystem::path> scans;
  std::optional<std::filesystem::path> log;
  std::optional<std::filesystem::path> match;  ///< pairs that the user fixed
  std::optional<std::filesystem::path> camera;
  std::string film;  ///< bw, colour, chromogenic, or a profile file; empty: from the scans
  std::optional<double> film_speed;
  std::string film_name;  ///< by which the film is remembered; empty: as the log has it
  std::string developed;  ///< how; empty: as the log has it
  std::string response;   ///< linear, srgb, gamma=N or a response file; empty: from the files
  std::optional<std::filesystem::path> light;
  std::optional<std::filesystem::path> base_scan;
  std::string base;    ///< as parse_base takes it
  std::string layout;  ///< as parse_layout takes it
  MeteringPattern metering = MeteringPattern::unknown;
  double aim_k = 12.5;
  double aim_q = 0.65;
  int threads = 0;
  bool no_cache = false;
  bool no_memory = false;                       ///< nothing of earlier rolls is used
  std::optional<std::filesystem::path> ledger;  ///< absent: the default one
  bool quiet = false;
  bool verbose = false;
};

/// Adds --no-cache.
CLI::Option* add_cache_option(CLI::App& command, bool& no_cache);

/// Adds the options; `arguments` must live as long as the command. Returns that of the scans, which
/// must be given unless the caller has another way.
CLI::Option* add_roll_options(CLI::App& command, RollArguments& arguments);

/// The ledger that was named, else the default one. Throws InputError (usage) where none is known.
std::filesystem::path ledger_of(const RollArguments& arguments);

/// Files are opened here: film, response, and the ledger for what it remembers of films. A ledger
/// that cannot be read costs its memory alone, which is said. Throws InputError.
roll::ReviewOptions as_review_options(const RollArguments& arguments);

/// Where measured scans are kept from run to run, for MeasureOptions::store; none where nothing is
/// to be kept, nowhere is known, or the folder lies among the inputs.
std::shared_ptr<density::ScanStore> kept_scans(bool no_cache, const Inputs& inputs);

/// All that is read. Throws InputError (not_found) where one of them is not there.
Inputs inputs_of(const RollArguments& arguments);

}  // namespace basefog::cli
