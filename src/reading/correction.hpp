// SPDX-License-Identifier: GPL-3.0-or-later
#pragma once

#include <span>

#include "basefog/reading/frame_reading.hpp"

namespace basefog::reading {

/// What a change of exposure costs, and the change that costs least.
struct CorrectionChoice {
  double stops = 0;  ///< the best change
  double cost = 0;   ///< A_low + A_high + 0.03 (exposure + c)² there
};

/// Weight of the aim as tie-breaker, per square stop: a stop off the aim weighs as much as losing
/// 3 % of the picture, two stops as much as 12 % (judgement).
inline constexpr double kAimWeight = 0.03;

/// The change of exposure c that minimises
///   A_low(c) + A_high(c) + 0.03 (exposure + c)²,
/// A_low the share of `above_speed` (stops above the speed point, rising) with x + c < 0, A_high
/// the share with x + c > limit, which has the same zero. Exact: between the places where an
/// aperture enters or leaves the film the cost is a parabola, so the least cost is at such a place
/// or at c = -exposure (Correction.costs_least_of_all_changes). Of equal costs the one nearest the
/// aim is taken. A limit below 0 counts as 0. At least one aperture.
CorrectionChoice best_correction(std::span<const double> above_speed, double limit,
                                 ExposureFromAim exposure);

/// The least share of the frame that any change of exposure would lose, A_low + A_high.
double least_loss(std::span<const double> above_speed, double limit);

}  // namespace basefog::reading
