// SPDX-License-Identifier: GPL-3.0-or-later
#include <gtest/gtest.h>

#include "basefog/reading/frame_reading.hpp"

namespace basefog::reading {
namespace {

StopsEstimate two_sided(double value, double low, double high) {
  return {Stops(value), Stops(low), Stops(high)};
}

TEST(Describe, says_what_the_picture_needed) {
  EXPECT_EQ(describe(two_sided(0.8, 0.5, 1.1)), "under by 0.8");
  EXPECT_EQ(describe(two_sided(-1.24, -1.5, -1.0)), "over by 1.2");
  EXPECT_EQ(describe(two_sided(0.49, 0.2, 0.7)), "well exposed");
  EXPECT_EQ(describe(two_sided(-0.49, -0.7, -0.2)), "well exposed");
}

// Where more than half of the interval lies in other verdicts, words give both ends.
TEST(Describe, uncertain_verdicts_are_said_as_a_range) {
  EXPECT_EQ(describe(two_sided(0.55, -0.8, 1.9)), "over 0.8 to under 1.9");
  EXPECT_EQ(describe(two_sided(0.6, -0.3, 0.8)), "well exposed to under 0.8");
  EXPECT_EQ(describe(two_sided(1.4, 1.0, 2.6)), "under by 1.0 to 2.6");
  EXPECT_TRUE(verdict_is_uncertain(two_sided(0.6, -0.3, 0.8)));
  EXPECT_FALSE(verdict_is_uncertain(two_sided(0.6, 0.3, 0.9)));
  EXPECT_FALSE(verdict_is_uncertain({Stops(0.6), Stops(-3.0), std::nullopt}));
}

TEST(Describe, one_sided_amounts_are_bounds) {
  EXPECT_EQ(describe({Stops(1.2), Stops(1.0), std::nullopt}), "under by at least 1.0");
  EXPECT_EQ(describe({Stops(1.2), std::nullopt, Stops(1.4)}), "under by at most 1.4");
  EXPECT_EQ(describe({Stops(-1.2), std::nullopt, Stops(-1.0)}), "over by at least 1.0");
  EXPECT_EQ(describe({Stops(-1.2), Stops(-1.5), std::nullopt}), "over by at most 1.5");
  EXPECT_EQ(describe({Stops(0.6), Stops(-0.1), std::nullopt}), "under by an unknown amount");
  EXPECT_EQ(describe({Stops(0.2), Stops(0.1), std::nullopt}), "well exposed or under");
  EXPECT_EQ(describe({Stops(-0.2), std::nullopt, Stops(-0.1)}), "well exposed or over");
}

TEST(Names, are_spelled_as_in_json) {
  EXPECT_EQ(name_of(Verdict::strongly_under), "strongly_under");
  EXPECT_EQ(name_of(Verdict::strongly_over), "strongly_over");
  EXPECT_EQ(name_of(density::FrameState::unreadable), "unreadable");
  EXPECT_EQ(name_of(density::ReferenceKind::none), "none");
  EXPECT_EQ(name_of(ErrorCause::noise), "noise");
}

}  // namespace
}  // namespace basefog::reading
