// SPDX-License-Identifier: GPL-3.0-or-later
#pragma once

#include <filesystem>
#include <string>
#include <string_view>
#include <vector>

#include "basefog/characteristic_curve.hpp"
#include "basefog/film_base.hpp"
#include "basefog/settings.hpp"

namespace basefog {

struct FilmLayer {
  std::string name;  ///< "silver", or "red", "green", "blue" by the light that reads its density
  CharacteristicCurve curve;  ///< relative to the film's own speed point
};

/// What is known of a film and its development.
struct FilmProfile {
  std::string name;
  FilmKind kind = FilmKind::black_and_white;
  FilmSpeed iso_speed{100};
  std::vector<FilmLayer> layers;  ///< one, or three as red, green, blue
  /// Contrast as average gradient, its relative standard deviation, and where it comes from:
  /// "generic", "film test", "series on the roll", "profile".
  double contrast_relative_sigma = 0.10;
  std::string contrast_source = "generic";
  /// Standard deviation of the place of the shoulder, and of the toe's width, in stops.
  double shoulder_sigma_stops = 1.0;
  double toe_sigma_stops = 0.15;
  /// Corrected time = metered time ^ exponent above 1 s; 1 where none is needed.
  double reciprocity_exponent = 1.0;
  /// True where exposures were known apart from the camera's meter, so that the film's speed is
  /// too.
  bool speed_measured = false;
  std::string notes;

  /// The exposure at the film's speed point: 0.8/S (ISO 6) or sqrt(2)/S (ISO 5800) lux·s.
  LogExposure speed_point() const;
};

FilmProfile generic_black_and_white(FilmSpeed speed);
FilmProfile generic_chromogenic(FilmSpeed speed);
FilmProfile generic_colour_negative(FilmSpeed speed);

/// From a film profile file (TOML). Throws InputError (not_found, malformed).
FilmProfile read_film_profile(const std::filesystem::path& path);

}  // namespace basefog
