// SPDX-License-Identifier: GPL-3.0-or-later
#pragma once

#include "basefog/core/enum_array.hpp"

namespace basefog::reading {

/// The numbers of a frame, each in stops from the zero that it has in FrameReading.
enum class Quantity { exposure, shadow_reserve, highlight_reach, highlight_room, correction };
constexpr Quantity last_of(Quantity) { return Quantity::correction; }

/// Shares of a frame that the percentiles of the answers leave below and above.
inline constexpr double kShadowPercentile = 0.02;
inline constexpr double kHighlightPercentile = 0.98;

}  // namespace basefog::reading
