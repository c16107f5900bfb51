// SPDX-License-Identifier: GPL-3.0-or-later
#pragma once

#include <cstdint>
#include <span>
#include <string>

#include "print/proof.hpp"

namespace basefog::print {

/// The picture as a 16-bit TIFF file, Deflate-compressed, with an ICC profile and a description
/// unless those are empty.
/// Throws std::runtime_error when the encoder refuses.
std::string encode_tiff(const DeepPositive& picture, std::span<const std::uint8_t> profile,
                        const std::string& description = "");

}  // namespace basefog::print
