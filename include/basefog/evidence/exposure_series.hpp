// SPDX-License-Identifier: GPL-3.0-or-later
#pragma once

#include <optional>
#include <span>
#include <string>
#include <vector>

#include "basefog/core/estimate.hpp"
#include "basefog/density/density.hpp"
#include "basefog/film/film_belief.hpp"
#include "basefog/film/film_profile.hpp"
#include "basefog/log/log.hpp"

namespace basefog::evidence {

/// What the log says of one frame's exposure, so that two frames of one view can be compared.
struct LoggedExposure {
  /// Shutter and aperture as log2 of t/N², less filter and reciprocity loss; where both are known.
  std::optional<Stops> settings;
  /// As dialled; positive: more exposure.
  std::optional<Stops> compensation;
  bool hint = false;  ///< scene or note say bracket or series
};

/// From exact marks, with the film's reciprocity taken off. Nothing for a row of no picture or
/// flash.
LoggedExposure logged_exposure(const log::LogRow& row, const film::Reciprocity& film);

/// How much more exposure b got than a by the log: from settings where both have them, else from
/// compensation (the same light is then assumed by the camera's meter). Empty where the log says
/// neither.
std::optional<Stops> logged_difference(const LoggedExposure& a, const LoggedExposure& b);

/// A frame as the search for series sees it.
struct SeriesFrame {
  const density::FrameMeasurement* measurement = nullptr;  ///< not owned
  const density::FilmBase* base = nullptr;                 ///< not owned; kind other than none
  LoggedExposure logged;                                   ///< what its row says
  std::string name;                                        ///< the frame's label
};

/// Frames of one view at different logged exposures.
struct ExposureSeries {
  std::vector<std::size_t> frames;    ///< indices into the frames given, in order of exposure
  std::vector<Stops> logged;          ///< against the first, one a frame
  std::vector<std::size_t> left_out;  ///< frames of the view that did not fit the others
  bool used = false;                  ///< it counts for the film
};

/// What counts as a series.
struct SeriesOptions {
  /// Standard deviation of each exposure about its mark, stops; shutters repeat within about a
  /// tenth of a stop (common practice).
  double exposure_sigma_stops = 0.08;
  /// Frames farther apart than this in the order given are not compared.
  std::size_t farthest = 8;
  /// Smallest logged difference that says anything of contrast.
  Stops least_difference{0.3};
};

/// What series on a roll say of the film's contrast.
struct SeriesContrast {
  /// Average gradient as a factor of the film's that was given, with its interval.
  Estimate<double> factor;
  /// All that were found; `used` says which count.
  std::vector<ExposureSeries> series;
  /// What they say of contrast, toe and shoulder, counted from the film that was given; nothing
  /// where no series could be used.
  film::FilmEvidence evidence;
  film::FilmNumbers place{};  ///< of `film` from the one that was given
  /// The film as believed after that; its contrast_source is "series on the roll" where they say
  /// more than was known before. As given without.
  film::FilmProfile film;
  std::vector<std::string> names;  ///< of all frames given
  std::vector<std::size_t>
      not_seen;  ///< whose rows speak of a series that the pictures do not show
};

/// Finds series of exposures by registration of the pictures and fits the film's curve to them: the
/// same place of the view, seen at exposures a known difference apart, gives pairs of densities
/// that fix the contrast. Exposures scatter about their marks by exposure_sigma_stops and each
/// frame's base is off by its own sigma; both enter the interval. Frames whose exposure is not what
/// the log says (changed light, a wrong row) and places that moved are left out. Empty where no two
/// frames show the same view at different logged exposures.
std::optional<SeriesContrast> contrast_from_series(std::span<const SeriesFrame> frames,
                                                   const film::FilmProfile& film,
                                                   const SeriesOptions& options = {});

}  // namespace basefog::evidence
