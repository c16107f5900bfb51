// SPDX-License-Identifier: GPL-3.0-or-later
#pragma once

#include <span>
#include <vector>

#include "basefog/core/estimate.hpp"
#include "basefog/density/density.hpp"
#include "basefog/film/film_profile.hpp"

namespace basefog::evidence {

/// A measured frame as the roll's statistics see it.
struct RangeFrame {
  const density::FrameMeasurement* measurement = nullptr;  ///< not owned
  const density::FilmBase* base = nullptr;                 ///< not owned; kind other than none
};

/// What the ranges of a roll's scenes say of the contrast that all its frames share.
struct SceneRanges {
  /// The film with the contrast that the ranges make likely, and its remaining uncertainty.
  film::FilmProfile film;
  /// Relative sigma of the response after the ranges: they see only the product of the film's
  /// contrast and the scan's, so the remaining variance is divided between them as it was before.
  double response_sigma = 0;
  /// Average gradient as a factor of the given film's, ranges and prior together.
  Estimate<double> factor{1.0, {}, {}};
  int frames = 0;  ///< whose ranges count
};

/// Fewer frames than this say nothing of the roll.
inline constexpr std::size_t kFewestRangeFrames = 4;

/// Weighs how long the frames' ranges (2nd to 98th percentile of log H, stops) look under each
/// contrast against how long ranges of scenes are: 7.3 stops from the darkest to the brightest
/// place on average [SceneRange], 5.3 between the percentiles.
///
/// Formula. A film harder by the factor e^f makes each range R_i as e^-f R_i. With s0 the sigma of
/// ln contrast before, of film and response together, and M the roll's own mean range:
///
///   P(f)    ~ exp(-f^2 / 2 s0^2) x sum over z of exp(-z^2 / 2) x product over i of p(e^-f R_i, M)
///   M       = 5.3 exp(0.25 z), z = -3, -2.5, ... 3: some rolls are all fog, others all lamps
///   p(R, M) = 0.95 x 3 w exp(-w) + 0.05 / 3.5, w = (R Gamma(4/3) / M)^3: in ln R, a Weibull of
///             shape 3, and one scene in twenty of any range
///   p for a range that ends beyond film or scan: 0.95 exp(-w) + 0.05 (0.5 - ln(R / M) / 3.5)
///
/// f runs over -0.7 to 0.7 in hundredths; its mean and sigma are the answer, and the sigmas of
/// contrast and response both shrink by sigma / s0.
///
/// Assumes. Scenes of the roll are pictures as those that the numbers were fitted to; one contrast.
///
/// Costs. One reading of each frame, 141 x 13 evaluations of p a frame.
///
/// Accurate. SceneRanges.interval_holds_as_often_as_it_says,
/// SceneRanges.pull_and_push_are_told_from_many_frames.
///
/// Fails. Ranges under 0.3 stop are no scenes and are left out; with fewer than kFewestRangeFrames
/// left, the film comes back as given (SceneRanges.few_frames_say_nothing). A roll of one kind of
/// scene pulls the contrast by up to what 0.25 allows.
///
/// Frames are at least one; each holds apertures and a base of its channels.
SceneRanges contrast_from_ranges(std::span<const RangeFrame> frames, const film::FilmProfile& film);

}  // namespace basefog::evidence
