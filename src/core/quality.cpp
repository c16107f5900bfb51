// SPDX-License-Identifier: GPL-3.0-or-later
#include "basefog/core/quality.hpp"

#include <array>
#include <utility>

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

Warning make_warning(std::optional<std::filesystem::path> file, Flag flag) {
  const FlagText& text = text_of(flag);
  return {std::move(file), flag, std::string(text.long_text), std::string(text.next_step)};
}

}  // namespace basefog
