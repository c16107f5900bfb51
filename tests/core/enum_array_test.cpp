// SPDX-License-Identifier: GPL-3.0-or-later
#include "basefog/core/enum_array.hpp"

#include <gmock/gmock.h>

#include "core/name_list.hpp"

namespace basefog {
namespace {

enum class Dish { developer, stop, fixer };
constexpr Dish last_of(Dish) { return Dish::fixer; }
std::string_view name_of(Dish dish) {
  return name_in(std::to_array<std::string_view>({"developer", "stop", "fixer"}), dish);
}

static_assert(kCountOf<Dish> == 3);
static_assert(EnumArray<Dish, int>{{1, 2, 3}}[Dish::stop] == 2);

TEST(EnumArray, holds_one_value_for_each_enumerator) {
  EnumArray<Dish, double> minutes;
  EXPECT_THAT(minutes.values, ::testing::Each(0)) << "until they are set";
  minutes[Dish::fixer] = 5;
  EXPECT_THAT(minutes.values, ::testing::ElementsAre(0, 0, 5));
  EXPECT_EQ(minutes[Dish::fixer], 5);
}

TEST(ClosedList, names_are_read_back) {
  for (const Dish dish : every<Dish>()) EXPECT_EQ(named<Dish>(name_of(dish)), dish);
  EXPECT_EQ(named<Dish>("wash"), std::nullopt);
}

}  // namespace
}  // namespace basefog
