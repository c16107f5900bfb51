// SPDX-License-Identifier: GPL-3.0-or-later
#pragma once

#include <optional>
#include <string>
#include <vector>

#include "basefog/core/exposure_point.hpp"

namespace basefog::report {

/// What one place of a ruler drawn in text shows.
enum class RulerMark { gap, stop, zero, interval, got, needed, beyond_low, beyond_high };

/// The stops of the aim's ruler: from -3 to +3, a place each third of a stop.
inline constexpr int kRulerStops = 3;
inline constexpr int kRulerPlaces = 2 * 3 * kRulerStops + 1;

/// A ruler around the aim: whole stops, what the film got with its interval, and what the picture
/// needed it to get. Where both are within a place, what it got stands above. What lies beyond the
/// ruler shows as an arrow at its end, unless what it got is there.
std::vector<RulerMark> ruler(const Estimate<ExposureFromAim>& got,
                             std::optional<ExposureFromAim> needed);

/// The ruler's marks as text, one place each.
std::string_view glyph(RulerMark mark);

/// Numbers over the whole stops of a ruler: "-3 -2 -1  0 +1 +2 +3" in kRulerPlaces + 1 places.
std::string ruler_head();

}  // namespace basefog::report
