// SPDX-License-Identifier: GPL-3.0-or-later
#include "numeric/rising_share.hpp"

#include <gtest/gtest.h>

#include <vector>

namespace basefog::numeric {
namespace {

TEST(RisingShare, counts_pairs_that_lie_apart) {
  const std::vector<double> x = {0, 1, 2, 3};
  EXPECT_EQ(rising_share(x, std::vector<double>{0, 1, 2, 3}), 1);
  EXPECT_EQ(rising_share(x, std::vector<double>{3, 2, 1, 0}), 0);
  EXPECT_EQ(rising_share(x, std::vector<double>{0, 2, 1, 3}), 5.0 / 6);
  // In any order; neighbours within an eighth of the range do not count.
  EXPECT_EQ(rising_share(std::vector<double>{8, 0, 0.9}, std::vector<double>{5, 2, 1}), 1);
  EXPECT_EQ(rising_share({}, {}), 1);
  EXPECT_EQ(rising_share(std::vector<double>{1, 1}, std::vector<double>{2, 1}), 1);
}

}  // namespace
}  // namespace basefog::numeric
