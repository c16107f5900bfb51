// SPDX-License-Identifier: GPL-3.0-or-later
#pragma once

#include <cstdint>
#include <vector>

namespace basefog::print {

/// An ICC profile for a picture of 1 channel (gray with sRGB's tone curve) or 3 (sRGB). The same
/// bytes every time: its date is fixed.
std::vector<std::uint8_t> srgb_profile(int channels);

}  // namespace basefog::print
