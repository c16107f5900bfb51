// SPDX-License-Identifier: GPL-3.0-or-later
#pragma once

#include <optional>
#include <string>
#include <vector>

#include "basefog/core/exposure_point.hpp"

namespace basefog::report {

/// What one place of a ruler drawn in text shows.
enum class RulerMark { gap, stop, zero, interval, exposure, expected, beyond_low, beyond_high };

/// The stops of the aim's ruler: from -3 to +3, a place each third of a stop.
inline constexpr int kRulerStops = 3;
inline constexpr int kRulerPlaces = 2 * 3 * kRulerStops + 1;

/// A ruler around the aim: whole stops, the interval, what the settings asked for, and the exposure
/// above all else. What lies beyond the ruler shows as an arrow at its end, unless the exposure is
/// there.
std::vector<RulerMark> ruler(const Estimate<ExposureFromAim>& exposure,
                             std::optional<ExposureFromAim> expected);

/// The ruler's marks as text, one place each.
std::string_view glyph(RulerMark mark);

/// Numbers over the whole stops of a ruler: "-3 -2 -1  0 +1 +2 +3" in kRulerPlaces + 1 places.
std::string ruler_head();

}  // namespace basefog::report
