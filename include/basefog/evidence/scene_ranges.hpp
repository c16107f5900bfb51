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

/// Weighs how long the frames' ranges (2nd to 98th percentile of log H) look under each contrast
/// against how long ranges of scenes are: 7.3 stops from the darkest to the brightest place on
/// average [SceneRange], 5.3 between the percentiles, a third more or less from scene to scene, a
/// quarter from roll to roll, since some rolls are all fog and others all lamps. Frames that reach
/// beyond what can be read count as longer than they look. With fewer than
/// kFewestRangeFrames frames the film comes back as given. Frames are at least one; each holds
/// apertures and a base of its channels.
SceneRanges contrast_from_ranges(std::span<const RangeFrame> frames, const film::FilmProfile& film);

}  // namespace basefog::evidence
