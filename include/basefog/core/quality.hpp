// SPDX-License-Identifier: GPL-3.0-or-later
#pragma once

#include <cstdint>
#include <initializer_list>
#include <span>
#include <string_view>
#include <vector>

namespace basefog {

/// Everything that basefog may say about the quality of a scan, frame, row or roll. A closed list:
/// the texts, with the next step for each, stand once in include/basefog/flags.inc and feed
/// terminal, JSON, HTML and manual.
enum class Flag : std::uint8_t {
#define BASEFOG_FLAG(name, short_text, long_text, next_step) name,
#include "basefog/core/flags.inc"
#undef BASEFOG_FLAG
};

struct FlagText {
  Flag flag{};
  std::string_view name;        ///< as in JSON: "clipped_base"
  std::string_view short_text;  ///< a few words for a table cell
  std::string_view long_text;   ///< one sentence: what it is and what it does to the numbers
  std::string_view next_step;   ///< one sentence: what to do about it
};

/// All flags in declaration order.
std::span<const FlagText> all_flags();
const FlagText& text_of(Flag flag);

/// A set of flags in declaration order.
class FlagSet {
 public:
  FlagSet() = default;
  FlagSet(std::initializer_list<Flag> flags) {
    for (Flag f : flags) insert(f);
  }
  void insert(Flag f) { bits_ |= bit(f); }
  void insert(FlagSet other) { bits_ |= other.bits_; }
  void erase(FlagSet other) { bits_ &= ~other.bits_; }
  bool contains(Flag f) const { return (bits_ & bit(f)) != 0; }
  bool empty() const { return bits_ == 0; }
  std::vector<Flag> list() const;
  friend bool operator==(FlagSet, FlagSet) = default;

 private:
  static std::uint64_t bit(Flag f) { return std::uint64_t{1} << static_cast<unsigned>(f); }
  std::uint64_t bits_ = 0;
};

}  // namespace basefog
