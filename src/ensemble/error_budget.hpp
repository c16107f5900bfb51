// SPDX-License-Identifier: GPL-3.0-or-later
#pragma once

#include <span>
#include <vector>

#include "basefog/reading/frame_reading.hpp"

namespace basefog::ensemble {

/// What members differ by, one number a member, and the cause that it belongs to.
struct Difference {
  reading::ErrorCause cause = reading::ErrorCause::base;
  std::vector<double> value;
};

/// Differences freed of their means and of those before them, each of variance 1 under the weights;
/// those that nothing is left of are left out.
std::vector<Difference> made_independent(std::vector<Difference> differences,
                                         std::span<const double> weights);

/// An answer's change for one standard deviation of each cause: its covariance with the cause's
/// independent differences, several of one cause as the root of their squares with the sign of the
/// largest. What they leave of its variance is clipping, the frame's own: hidden light, and what
/// changes with the causes otherwise than in a straight line.
reading::ErrorBudget budget_of(std::span<const double> answer, std::span<const double> weights,
                               std::span<const Difference> independent);

}  // namespace basefog::ensemble
