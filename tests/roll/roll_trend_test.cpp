// SPDX-License-Identifier: GPL-3.0-or-later
#include "basefog/roll/roll_trend.hpp"

#include <gtest/gtest.h>

#include <random>
#include <vector>

namespace basefog::roll {
namespace {

std::vector<PlacedStops> roll(int frames, double change, double sigma, unsigned seed) {
  std::mt19937 random(seed);
  std::normal_distribution<double> noise(0, 1);
  std::vector<PlacedStops> values;
  for (int i = 0; i < frames; ++i) {
    values.push_back({static_cast<double>(i), change * i / (frames - 1) + sigma * noise(random)});
  }
  return values;
}

// Slopes of all pairs of x = 1..8 against y, worked by hand: see the sorted list below.
TEST(RollTrend, is_the_median_of_all_slopes) {
  const std::vector<PlacedStops> values{{1, 0}, {2, 1}, {3, 2}, {4, 3},
                                        {5, 4}, {6, 5}, {7, 6}, {8, 0}};
  // 21 slopes of 1 and seven of 0/7, -1/6, -2/5, -3/4, -4/3, -5/2, -6: the median is 1.
  EXPECT_DOUBLE_EQ(change_along(values)->value.value(), 7);
}

// [Sen1968]: with n = 10, sigma of Kendall's S is sqrt(10 * 9 * 25 / 18) = 11.18, C = 21.9, so that
// the interval's ends are the 12th and the 34th of the 45 slopes.
TEST(RollTrend, interval_ends_have_the_ranks_of_Sen1968) {
  std::vector<PlacedStops> values;
  for (int i = 0; i < 10; ++i) values.push_back({static_cast<double>(i), i * i * 0.1});
  std::vector<double> slopes;
  for (int i = 0; i < 10; ++i) {
    for (int k = i + 1; k < 10; ++k) slopes.push_back((i + k) * 0.1);
  }
  std::sort(slopes.begin(), slopes.end());
  const auto change = change_along(values);
  EXPECT_NEAR(change->low->value(), slopes[11] * 9, 1e-9);
  EXPECT_NEAR(change->high->value(), slopes[33] * 9, 1e-9);
}

TEST(RollTrend, holds_the_truth_about_95_times_in_100) {
  int held = 0;
  constexpr int kRolls = 2000;
  for (unsigned seed = 0; seed < kRolls; ++seed) {
    const auto change = change_along(roll(24, -0.6, 0.3, seed));
    held += *change->low <= Stops(-0.6) && *change->high >= Stops(-0.6) ? 1 : 0;
  }
  EXPECT_NEAR(held / static_cast<double>(kRolls), 0.95, 0.02);
}

TEST(RollTrend, one_wild_frame_moves_it_little) {
  auto values = roll(24, -0.6, 0.05, 1);
  values[20].stops += 6;
  EXPECT_NEAR(change_along(values)->value.value(), -0.6, 0.1);
}

TEST(RollTrend, few_frames_say_nothing) {
  EXPECT_FALSE(change_along(roll(7, 1, 0.1, 1)).has_value());
  EXPECT_FALSE(roll_trend(Analysis{}).has_value());
}

/// A roll whose frames deviate more and more in the order of the scans.
Analysis rising_roll(std::size_t frames) {
  Analysis analysis;
  analysis.frames.resize(frames);
  for (std::size_t i = 0; i < frames; ++i) {
    const Stops here(0.1 * static_cast<double>(i));
    analysis.frames[i].deviation = StopsEstimate{here, here - Stops(0.2), here + Stops(0.2)};
  }
  return analysis;
}

TEST(RollTrend, runs_along_the_film_not_along_the_scans) {
  Analysis analysis = rising_roll(10);
  EXPECT_NEAR(roll_trend(analysis)->change.value.value(), 0.9, 1e-9);
  analysis.matching.emplace();
  for (std::size_t i = 10; i-- > 0;) analysis.matching->film_order.push_back(i);
  EXPECT_NEAR(roll_trend(analysis)->change.value.value(), -0.9, 1e-9);
}

TEST(RollTrend, leaves_out_frames_whose_row_is_doubtful) {
  Analysis analysis = rising_roll(12);
  for (std::size_t i = 0; i < 3; ++i) {
    analysis.frames[i].deviation = StopsEstimate{Stops(9), Stops(8), Stops(10)};
    analysis.frames[i].flags.insert(Flag::match_doubtful);
  }
  EXPECT_EQ(roll_trend(analysis)->frames, 9);
  EXPECT_NEAR(roll_trend(analysis)->change.value.value(), 0.8, 1e-9);
}

}  // namespace
}  // namespace basefog::roll
