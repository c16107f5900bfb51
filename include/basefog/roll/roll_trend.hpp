// SPDX-License-Identifier: GPL-3.0-or-later
#pragma once

#include <cstddef>
#include <optional>
#include <span>

#include "basefog/roll/analysis.hpp"

namespace basefog::roll {

/// How exposure changes along the roll, as a slowing shutter or a failing cell shows.
struct RollTrend {
  StopsEstimate change;  ///< from the first frame to the last
  int frames = 0;        ///< used
  /// True where what the settings asked for was taken off: the camera's own drift.
  bool of_deviation = false;

  /// True where the interval leaves no doubt that there is a change.
  bool certain() const;
};

/// A value at a place along the roll.
struct PlacedStops {
  double place = 0;  ///< along the film, in frames
  double stops = 0;  ///< any finite number
};

/// The median of the slopes of all pairs, times the distance from the least to the greatest place,
/// with its 95 % interval from Kendall's statistic [Sen1968]. Absent for fewer than 8 values or
/// where all lie at one place. Places must differ from each other.
std::optional<StopsEstimate> change_along(std::span<const PlacedStops> values);

/// Of the frames' deviations where 8 or more have one, else of their exposures; bounds are left
/// out.
std::optional<RollTrend> roll_trend(const Analysis& analysis);

}  // namespace basefog::roll
