// SPDX-License-Identifier: GPL-3.0-or-later
// Names of closed lists.
#pragma once

#include <array>
#include <cstddef>
#include <optional>
#include <string_view>

#include "basefog/core/enum_array.hpp"

namespace basefog {

/// The name of an enumerator whose value is its place in the list; throws std::out_of_range.
template <class Enum, std::size_t N>
constexpr std::string_view name_in(const std::array<std::string_view, N>& names, Enum value) {
  return names.at(static_cast<std::size_t>(value));
}

/// The enumerator of a closed list whose name_of() this is; nothing for any other text.
template <class Enum>
std::optional<Enum> named(std::string_view name) {
  for (const Enum value : every<Enum>()) {
    if (name_of(value) == name) return value;
  }
  return std::nullopt;
}

}  // namespace basefog
