// SPDX-License-Identifier: GPL-3.0-or-later
#pragma once

#include <filesystem>
#include <ostream>
#include <string>
#include <string_view>
#include <vector>

#include "basefog/core/film_facts.hpp"
#include "basefog/core/film_kind.hpp"
#include "basefog/core/settings.hpp"
#include "basefog/film/characteristic_curve.hpp"
#include "basefog/film/reciprocity.hpp"

namespace basefog::film {

/// One layer of a film with its curve.
struct FilmLayer {
  /// "silver", "dye" (chromogenic), or "red", "green", "blue" by the light that reads its density.
  std::string name;
  CharacteristicCurve curve;  ///< relative to the film's own speed point
};

/// Where a film's contrast comes from.
enum class ContrastSource {
  /// The mean of published films of its kind.
  generic,
  series,  ///< exposure series on the roll
  /// Known exposures of this film in this development.
  film_test,
  profile,     ///< a profile whose maker does not say
  remembered,  ///< earlier rolls of the film
};
constexpr ContrastSource last_of(ContrastSource) { return ContrastSource::remembered; }
/// As in JSON and profile files: "generic", "series on the roll", "film test", "profile",
/// "remembered rolls".
std::string_view name_of(ContrastSource source);

/// What is known of a film and its development.
struct FilmProfile {
  std::string name;                           ///< as people call it; may be empty
  FilmKind kind = FilmKind::black_and_white;  ///< decides layers and speed density
  FilmSpeed iso_speed{100};                   ///< its own, in its development
  std::vector<FilmLayer> layers;              ///< one, or three as red, green, blue
  /// Relative standard deviation of the contrast (of every layer alike), and where it comes from.
  double contrast_relative_sigma = film_facts::kContrastSigma;
  ContrastSource contrast_source = ContrastSource::generic;  ///< says how it became known
  /// Standard deviation of the place of the shoulder, in stops (with_shoulder).
  double shoulder_sigma_stops = film_facts::kStatedShoulderSigma;
  /// Relative standard deviation of the gradient above ISO 6's triangle (1.30 log H from the speed
  /// point) against the average gradient within it.
  double upper_gradient_sigma = film_facts::kUpperGradientSigma;
  /// Standard deviation of the toe's length, in stops a stop below the speed point (with_toe).
  double toe_sigma_stops = film_facts::kStatedToeSigma;
  /// Colour film: standard deviations of the red and blue layers against the green one, of the
  /// gradient as a share and of the curve's place in stops.
  double layer_gradient_sigma = film_facts::kMeasuredLayerGradientSigma;
  double layer_place_sigma = film_facts::kMeasuredLayerSigma;  ///< likewise, stops
  Reciprocity reciprocity;                                     ///< what long times lose
  /// Response and scanner of the scans that the curve was measured from. Scans read through the
  /// same ones share their error, which cancels. Empty where densities came from elsewhere.
  std::string measured_through;
  /// The roll that a film test was shot on, by its name; on others development differs. Empty: on
  /// none that will be reviewed.
  std::string measured_on;
  /// True where exposures were known apart from the camera's meter, so that the film's speed is
  /// too; its standard deviation then, in stops.
  bool speed_measured = false;
  double speed_sigma_stops = film_facts::kStatedSpeedSigma;  ///< where `speed_measured`
  std::string notes;                                         ///< as its file has them

  /// True where exposures of this very development gave the contrast.
  bool contrast_was_found() const {
    return contrast_source == ContrastSource::film_test ||
           contrast_source == ContrastSource::series;
  }
  /// True where the contrast was not measured with exposures of known size, on this roll or, well
  /// enough, on earlier ones.
  bool contrast_is_assumed() const {
    constexpr double kWellKnown = 0.06;  // contrast known to 12 % either way (judgement)
    return contrast_source == ContrastSource::generic ||
           (contrast_source == ContrastSource::remembered && contrast_relative_sigma > kWellKnown);
  }

  /// The exposure at the film's speed point: 0.8/S [ISO6] or sqrt(2)/S [ISO5800] lux·s.
  LogExposure speed_point() const;

  /// The same film with every layer's curve varied alike; see CharacteristicCurve.
  FilmProfile with_contrast(double factor) const;
  FilmProfile with_shoulder(Stops shift) const;    ///< likewise
  FilmProfile with_toe(double lengthening) const;  ///< likewise
};

/// Average of published shapes for ISO 6 development: net density 0.10 at the speed point, 0.90
/// 1.30 log H above it [ISO6]; contrast, toe and shoulder uncertain by the profile's sigmas.
FilmProfile generic_black_and_white(FilmSpeed speed);
/// As black-and-white, with the long toe and the early, slow shoulder of dye images (common
/// practice; no published table was at hand).
FilmProfile generic_chromogenic(FilmSpeed speed);
/// Three layers: the mean of three published colour negative curves, each relative to its own
/// ISO 5800 speed point [KodakE4050], [KodakE4051], [KodakE4046], and beyond 9.5 stops above the
/// speed point, where the sheets end with no clear shoulder, a slow shoulder (an assumption).
FilmProfile generic_colour_negative(FilmSpeed speed);

/// The generic film of a kind.
FilmProfile generic_film(FilmKind kind, FilmSpeed speed);

/// From a film profile file (TOML; its keys are in src/film/film_profile_keys.hpp). Throws
/// InputError (not_found, unreadable, malformed: names the key and what it must be).
FilmProfile read_film_profile(const std::filesystem::path& path);

/// The same from a profile's text. path: what errors name, and what stands in for a name.
FilmProfile film_profile_of(const std::string& text, const std::filesystem::path& path);

/// Writes a profile that read_film_profile reads back: each layer as points, densities to 0.00001.
/// Throws InputError (usage), with nothing written, for a speed that no film has.
void write_film_profile(std::ostream& out, const FilmProfile& film);

}  // namespace basefog::film
