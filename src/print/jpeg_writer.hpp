// SPDX-License-Identifier: GPL-3.0-or-later
#pragma once

#include <cstdint>
#include <span>
#include <string>
#include <vector>

#include "print/proof.hpp"

namespace basefog::print {

/// The picture as a baseline JPEG file, quality 1 to 100, with an ICC profile and a comment
/// unless those are empty.
/// Throws std::runtime_error when the encoder refuses (a side over 65500 pixels, no memory).
std::vector<std::uint8_t> encode_jpeg(const Positive& picture, int quality,
                                      std::span<const std::uint8_t> profile = {},
                                      const std::string& comment = "");

}  // namespace basefog::print
