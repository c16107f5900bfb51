// SPDX-License-Identifier: GPL-3.0-or-later
#pragma once

#include <cstdint>
#include <initializer_list>
#include <span>
#include <string_view>
#include <vector>

namespace basefog {

/// Everything that basefog may say about the quality of a scan, frame, row or roll. A closed list:
/// the texts, with the next step for each, stand once in basefog/core/flags.inc and feed
/// terminal, JSON, HTML and manual.
enum class Flag : std::uint8_t {
#define BASEFOG_FLAG(name, short_text, long_text, next_step) name,
#include "basefog/core/flags.inc"
#undef BASEFOG_FLAG
};

/// What there is to say of one flag; plain UTF-8 that is not yet escaped.
struct FlagText {
  Flag flag{};                  ///< whose texts these are
  std::string_view name;        ///< as in JSON: "clipped_base"
  std::string_view short_text;  ///< a few words for a table cell
  std::string_view long_text;   ///< one sentence: what it is and what it does to the numbers
  std::string_view next_step;   ///< one sentence: what to do about it
};

/// All flags in declaration order.
std::span<const FlagText> all_flags();
const FlagText& text_of(Flag flag);  ///< stays valid

/// A set of flags in declaration order.
class FlagSet {
 public:
  FlagSet() = default;
  /// Of these flags; one named twice counts once.
  FlagSet(std::initializer_list<Flag> flags) {
    for (Flag f : flags) insert(f);
  }
  void insert(Flag f) { bits_ |= bit(f); }              ///< nothing happens where it is there
  void insert(FlagSet other) { bits_ |= other.bits_; }  ///< all of them
  void erase(FlagSet other) { bits_ &= ~other.bits_; }  ///< those of them that are there
  bool contains(Flag f) const { return (bits_ & bit(f)) != 0; }  ///< whether it is there
  bool empty() const { return bits_ == 0; }                      ///< whether none is there
  std::vector<Flag> list() const;                                ///< those there, as declared
  friend bool operator==(FlagSet, FlagSet) = default;

 private:
  static std::uint64_t bit(Flag f) { return std::uint64_t{1} << static_cast<unsigned>(f); }
  std::uint64_t bits_ = 0;
};

}  // namespace basefog
