// SPDX-License-Identifier: GPL-3.0-or-later
#pragma once

#include <cstdint>
#include <optional>
#include <span>
#include <string>
#include <string_view>
#include <vector>

namespace basefog {

/// Base 64 with padding, on one line [RFC4648, 4].
std::string base64(std::span<const std::uint8_t> bytes);

/// The bytes of base 64 with padding; nothing where the text is none [RFC4648, 4].
std::optional<std::vector<std::uint8_t>> bytes_of_base64(std::string_view text);

}  // namespace basefog
