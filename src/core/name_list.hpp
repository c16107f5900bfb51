// SPDX-License-Identifier: GPL-3.0-or-later
// Names of closed lists.
#pragma once

#include <array>
#include <cstddef>
#include <string_view>

namespace basefog {

/// The name of an enumerator whose value is its place in the list; throws std::out_of_range.
template <class Enum, std::size_t N>
constexpr std::string_view name_in(const std::array<std::string_view, N>& names, Enum value) {
  return names.at(static_cast<std::size_t>(value));
}

}  // namespace basefog
