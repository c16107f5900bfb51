// SPDX-License-Identifier: GPL-3.0-or-later
#pragma once

#include <filesystem>
#include <optional>
#include <span>
#include <string>
#include <vector>

#include "basefog/core/estimate.hpp"
#include "basefog/core/units.hpp"
#include "basefog/film/film_profile.hpp"

namespace basefog::film {

/// One step of a film test: an exposure and the density it gave in each layer.
struct FilmTestStep {
  std::string name;  ///< as in the table or the log
  /// log10 H in lux·s where the series' exposures are absolute, otherwise from a zero of its own.
  double log_h = 0;
  std::vector<double> density;  ///< one a layer, from the same zero as the series' base
  std::vector<double> sigma;    ///< standard deviation of each, > 0
};

/// A series of known exposures of one evenly lit subject on one film and development.
struct FilmTestSeries {
  std::string name;                 ///< of the film or development
  std::vector<std::string> layers;  ///< "silver", or "red", "green", "blue"
  std::vector<FilmTestStep> steps;  ///< in any order
  /// Base + fog, one a layer, with its standard deviation; empty where it must come from the least
  /// exposed steps. 0 where densities are net.
  std::vector<double> base;
  std::vector<double> base_sigma;  ///< standard deviation of each
  /// Standard deviation of each step's exposure on its own, stops: 0.08 for a camera's shutter and
  /// aperture (common practice: shutters repeat within a tenth of a stop), 0.01 for a sensitometer.
  double exposure_sigma_stops = 0.01;
  /// True where log_h is in lux·s and known apart from the camera's own meter.
  bool absolute = false;
  /// Response and scanner of the scans that densities were read from; empty for a densitometer's.
  std::string measured_through;
  /// For exposures by the camera's meter: log_h is as if the meter and the marks were true for a
  /// film of this speed.
  std::optional<FilmSpeed> metered_for;
};

/// What a film test says of one layer.
struct FilmTestLayer {
  std::string name;                      ///< as in the series
  double base = 0;                       ///< base + fog, in the series' own density zero
  double base_sigma = 0;                 ///< standard deviation
  Estimate<double> speed_point_log_h;    ///< in the series' log_h
  Estimate<double> average_gradient;     ///< over 1.30 log H from the speed point
  std::optional<double> contrast_index;  ///< absent where the points do not reach
  std::optional<double> gamma;           ///< see gamma()
  std::optional<double> delta_x;         ///< log H; see delta_x()
  double residual = 0;                   ///< rms of the steps about the curve, density
  std::optional<Stops> highlight_limit;  ///< above the film's speed point; absent if not reached
};

/// The result of a film test.
struct FilmTest {
  FilmProfile profile;                ///< the film as measured, to read rolls by
  std::vector<FilmTestLayer> layers;  ///< one, or red, green, blue
  /// The film's speed, where exposures were absolute: stops against 1, as log2 S.
  std::optional<Estimate<double>> speed;
  /// With the camera's meter: how much more exposure than the aim the film seems to get, by film
  /// speed and meter bias together, which such a test cannot separate.
  std::optional<StopsEstimate> speed_and_meter;
  /// Steps, at the series' own spacing, that are missing below and above to see base and shoulder.
  int steps_missing_at_toe = 0;
  int steps_missing_at_shoulder = 0;  ///< likewise
};

/// Fits a film test: curve, speed and contrast with intervals. Within 0.05 stop in speed and 2 % in
/// contrast for nine steps a stop apart whose densities are known to 0.005 and whose exposures are
/// exact (FilmTest.nine_steps_find_speed_and_contrast_of_a_simulated_film). kind decides the speed
/// density (0.10 or 0.15) and how layers make a speed. Throws InputError (malformed) for fewer than
/// 4 steps, or steps that make no curve.
FilmTest calibrate_film(const FilmTestSeries& series, FilmKind kind);

/// How much more exposure `other` got at the same log_h than the film of `test` did, read through
/// the curve of `test` where both are on its readable part; empty with fewer than 3 such steps. The
/// interval holds the scatter of the steps about one shift and both bases' uncertainty. It does not
/// hold that film does not add up several exposures as one.
std::optional<StopsEstimate> exposure_shift(const FilmTest& test, const FilmTestSeries& other);

/// Densitometer readings from a comma-separated table: the first column is log10 exposure, each
/// other a column of densities with a name. Colour: columns red, green, blue (or R, G, B) become
/// one series of three layers; otherwise each column is a series of its own. `absolute` says that
/// exposures are lux·s. Throws InputError (not_found, unreadable, malformed with the line).
std::vector<FilmTestSeries> read_densitometer_table(const std::filesystem::path& path,
                                                    FilmKind kind, bool absolute);

/// One development of several.
struct DevelopmentResult {
  std::string name;                     ///< of its series
  std::optional<double> minutes;        ///< from the name: "8.5 min"
  std::optional<double> exposed_times;  ///< from the name: "3e", exposed three times as much
  FilmTest test;                        ///< of this development
};

/// Two developments of one time, one exposed once and one several times, as indices of the series.
struct ExposurePair {
  std::size_t once = 0;     ///< exposed once
  std::size_t several = 0;  ///< exposed several times
  double times = 1;         ///< how often `several` was exposed
  StopsEstimate shift;      ///< what it reads as, more than `once`, through the curve of `once`
  /// True where the shift's interval holds log2 of `times`: the film added up its exposures.
  bool agrees() const;
};

/// How a film answers to development.
struct DevelopmentSeries {
  std::vector<DevelopmentResult> results;  ///< in the table's order
  /// Gain of average gradient, and of speed in stops, for each doubling of the time: slopes over
  /// log2 of the minutes, from the singly exposed columns.
  std::optional<Estimate<double>> gradient_gain;
  std::optional<StopsEstimate> speed_gain;  ///< both absent for too few times
  std::vector<ExposurePair> pairs;          ///< all that the names give
};

/// Fits every series of a table and compares those whose names say a development time.
DevelopmentSeries compare_developments(std::span<const FilmTestSeries> series, FilmKind kind);

}  // namespace basefog::film
