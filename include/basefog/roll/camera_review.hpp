// SPDX-License-Identifier: GPL-3.0-or-later
#pragma once

#include <optional>
#include <span>
#include <vector>

#include "basefog/meter/bias_history.hpp"
#include "basefog/roll/advice.hpp"

namespace basefog::roll {

/// One camera over all its rolls, and what to do next.
struct CameraReview {
  meter::BiasHistory history;               ///< bias, effects and drift
  std::optional<plan::NextRoll> next_roll;  ///< wherever there is a bias
  std::vector<Advice>
      advice;  ///< besides it, most important first; empty where no bias could be fitted
};

/// Fits all rolls of one camera together and advises as for one roll. rolls must not be empty.
CameraReview review_camera(std::span<const meter::RememberedRoll> rolls);

}  // namespace basefog::roll
