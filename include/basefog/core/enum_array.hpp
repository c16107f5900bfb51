// SPDX-License-Identifier: GPL-3.0-or-later
// Closed lists: an enum whose enumerators count from 0 without gaps names its last one by a
// function last_of(Enum) that stands beside it.
#pragma once

#include <array>
#include <cstddef>

namespace basefog {

/// How many enumerators a closed list has.
template <class Enum>
inline constexpr std::size_t kCountOf = static_cast<std::size_t>(last_of(Enum{})) + 1;

/// All enumerators of a closed list, in order of declaration.
template <class Enum>
constexpr std::array<Enum, kCountOf<Enum>> every() {
  std::array<Enum, kCountOf<Enum>> all{};
  for (std::size_t i = 0; i < all.size(); ++i) all[i] = static_cast<Enum>(i);
  return all;
}

/// One value for each enumerator of a closed list, found by the enumerator alone.
template <class Enum, class Value>
struct EnumArray {
  std::array<Value, kCountOf<Enum>> values{};  ///< in order of declaration

  constexpr Value& operator[](Enum e) { return values[static_cast<std::size_t>(e)]; }
  constexpr const Value& operator[](Enum e) const { return values[static_cast<std::size_t>(e)]; }
  constexpr auto begin() { return values.begin(); }
  constexpr auto begin() const { return values.begin(); }
  constexpr auto end() { return values.end(); }
  constexpr auto end() const { return values.end(); }
  friend bool operator==(const EnumArray&, const EnumArray&) = default;
};

}  // namespace basefog
