// SPDX-License-Identifier: GPL-3.0-or-later
#include "basefog/core/quality.hpp"

#include <gtest/gtest.h>

#include <set>
#include <string>

namespace basefog {
namespace {

TEST(Flags, each_has_a_name_of_its_own_texts_and_a_next_step) {
  std::set<std::string_view> names;
  std::size_t place = 0;
  for (const FlagText& text : all_flags()) {
    EXPECT_EQ(static_cast<std::size_t>(text.flag), place++);
    EXPECT_TRUE(names.insert(text.name).second) << text.name;
    EXPECT_LE(text.short_text.size(), 24u) << text.name;
    EXPECT_TRUE(text.long_text.ends_with('.')) << text.name;
    EXPECT_TRUE(text.next_step.ends_with('.')) << text.name;
  }
}

TEST(FlagSet, lists_what_was_inserted_once_in_order) {
  FlagSet flags{Flag::positive, Flag::eight_bit};
  flags.insert(Flag::eight_bit);
  EXPECT_EQ(flags.list(), (std::vector<Flag>{Flag::eight_bit, Flag::positive}));
  EXPECT_FALSE(flags.contains(Flag::blank));
}

}  // namespace
}  // namespace basefog
