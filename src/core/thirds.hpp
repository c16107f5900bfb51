// SPDX-License-Identifier: GPL-3.0-or-later
#pragma once

#include <cmath>

#include "basefog/core/units.hpp"

namespace basefog {

/// The finest step that cameras and films are marked in; less is not dialled.
inline constexpr double kThird = 1.0 / 3;

inline Stops to_nearest_third(Stops stops) {
  return Stops(std::round(stops.value() / kThird) * kThird);
}

}  // namespace basefog
