// SPDX-License-Identifier: GPL-3.0-or-later
// Habits of naming scans (common practice).
#include "matching/name_numbers.hpp"

#include <gmock/gmock.h>
#include <gtest/gtest.h>

namespace basefog::matching {
namespace {

using ::testing::ElementsAre;

std::vector<std::string> labels(const std::vector<std::string>& stems) {
  std::vector<NamedScan> scans;
  for (const std::string& stem : stems) scans.push_back({stem, "alone"});
  return labels_in_names(scans);
}

TEST(NameNumbers, are_those_that_vary_whatever_stands_before_them) {
  EXPECT_THAT(labels({"roll_01", "roll_02", "roll_03"}), ElementsAre("1", "2", "3"));
  EXPECT_THAT(labels({"roll12_07", "roll12_08"}), ElementsAre("7", "8"));
  EXPECT_THAT(labels({"sheet 3 film 2", "sheet 3 film 9"}), ElementsAre("2", "9"));
  EXPECT_THAT(labels({"12_16bit", "13_16bit"}), ElementsAre("12", "13"));
  EXPECT_THAT(labels({"DSC01234", "DSC01235"}), ElementsAre("1234", "1235"));
  EXPECT_THAT(labels({"2024-05-12 16.30 img 4", "2024-05-13 09.12 img 5"}), ElementsAre("4", "5"));
  EXPECT_THAT(labels({"20240512_004", "20240512_005"}), ElementsAre("4", "5"));
}

TEST(NameNumbers, of_several_that_vary_take_most_values_or_stand_last) {
  EXPECT_THAT(labels({"1_01", "1_02", "2_03", "2_04"}), ElementsAre("1", "2", "3", "4"));
  EXPECT_THAT(labels({"07_1", "08_2", "09_1"}), ElementsAre("7", "8", "9"));
  EXPECT_THAT(labels({"scan001-frame07", "scan002-frame09"}), ElementsAre("7", "9"));
}

TEST(NameNumbers, keep_the_halves_of_the_films_edge) {
  EXPECT_THAT(labels({"a_7", "a_7A", "a_8"}), ElementsAre("7", "7A", "8"));
  EXPECT_THAT(labels({"00", "0", "1"}), ElementsAre("0", "0", "1"));
}

TEST(NameNumbers, of_a_name_alone_are_what_it_says_itself) {
  EXPECT_THAT(labels({"roll03_07"}), ElementsAre("alone"));
  EXPECT_THAT(labels({"a1", "b2"}), ElementsAre("alone", "alone"));
  EXPECT_THAT(labels({}), ElementsAre());
}

}  // namespace
}  // namespace basefog::matching
