// SPDX-License-Identifier: GPL-3.0-or-later
#include <gtest/gtest.h>

#include "basefog/reading/frame_reading.hpp"

namespace basefog::reading {
namespace {

StopsEstimate two_sided(double value, double low, double high) {
  return {Stops(value), Stops(low), Stops(high)};
}

TEST(Verdict, is_uncertain_where_most_of_the_interval_lies_in_others) {
  EXPECT_TRUE(verdict_is_uncertain(two_sided(0.6, -0.3, 0.8)));
  EXPECT_FALSE(verdict_is_uncertain(two_sided(0.6, 0.3, 0.9)));
  EXPECT_FALSE(verdict_is_uncertain({Stops(0.6), Stops(-3.0), std::nullopt}));
}

TEST(Names, are_spelled_as_in_json) {
  EXPECT_EQ(name_of(Verdict::strongly_under), "strongly_under");
  EXPECT_EQ(name_of(Verdict::strongly_over), "strongly_over");
  EXPECT_EQ(name_of(density::FrameState::unreadable), "unreadable");
  EXPECT_EQ(name_of(density::ReferenceKind::none), "none");
  EXPECT_EQ(name_of(ErrorCause::film_speed), "film_speed");
}

}  // namespace
}  // namespace basefog::reading
