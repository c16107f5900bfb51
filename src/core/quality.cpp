// SPDX-License-Identifier: GPL-3.0-or-later
#include "basefog/core/quality.hpp"

#include <array>

namespace basefog {
namespace {

constexpr auto kFlags = std::to_array<FlagText>({
#define BASEFOG_FLAG(name, short_text, long_text, next_step) \
  {Flag::name, #name, short_text, long_text, next_step},
#include "basefog/core/flags.inc"
#undef BASEFOG_FLAG
});
static_assert(kFlags.size() <= 64, "FlagSet holds at most 64 flags");

}  // namespace

std::span<const FlagText> all_flags() { return kFlags; }

const FlagText& text_of(Flag flag) { return kFlags[static_cast<std::size_t>(flag)]; }

std::vector<Flag> FlagSet::list() const {
  std::vector<Flag> flags;
  for (const FlagText& text : kFlags) {
    if (contains(text.flag)) flags.push_back(text.flag);
  }
  return flags;
}

}  // namespace basefog
