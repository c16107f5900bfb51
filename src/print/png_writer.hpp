// SPDX-License-Identifier: GPL-3.0-or-later
#pragma once

#include <cstdint>
#include <span>
#include <string>

namespace basefog::print {

/// An 8-bit RGB picture, row by row, as a PNG file. Throws std::runtime_error when the encoder
/// refuses.
std::string encode_png(std::span<const std::uint8_t> rgb, int width, int height);

}  // namespace basefog::print
