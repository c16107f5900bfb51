// SPDX-License-Identifier: GPL-3.0-or-later
#include "reading/metering.hpp"

#include <gtest/gtest.h>

#include <cmath>
#include <numeric>

namespace basefog::reading {
namespace {

double sum(const std::vector<double>& weights) {
  return std::accumulate(weights.begin(), weights.end(), 0.0);
}

TEST(Metering, weights_sum_to_one_on_any_frame) {
  for (auto [columns, rows] : {std::pair{70, 46}, {46, 70}, {1, 1}, {2, 3}, {70, 70}}) {
    for (auto pattern :
         {MeteringPattern::average, MeteringPattern::centre_weighted, MeteringPattern::spot}) {
      EXPECT_NEAR(sum(metering_weights(pattern, columns, rows, 0.02, 0.98)), 1, 1e-12);
    }
  }
}

TEST(Metering, centre_weighted_puts_65_hundredths_on_the_disc) {
  const auto weights = metering_weights(MeteringPattern::centre_weighted, 72, 48);
  double inside = 0;
  for (int y = 0; y < 48; ++y) {
    for (int x = 0; x < 72; ++x) {
      if (std::hypot(x + 0.5 - 36, y + 0.5 - 24) <= 12) inside += weights[y * 72 + x];
    }
  }
  EXPECT_NEAR(inside, 0.65, 1e-9);
}

TEST(Metering, spot_lies_where_it_is_put) {
  const auto weights = metering_weights(MeteringPattern::spot, 72, 48, 0.75, 0.25);
  EXPECT_GT(weights[12 * 72 + 54], 0);
  EXPECT_EQ(weights[24 * 72 + 36], 0);
}

TEST(Metering, unknown_leaves_average_and_centre_weighted) {
  ReadingOptions options;
  EXPECT_EQ(possible_meterings(options, 70, 46).size(), 2U);
  options.spot_possible = true;
  const auto possible = possible_meterings(options, 70, 46);
  ASSERT_EQ(possible.size(), 3U);
  EXPECT_NEAR(possible[0].probability + possible[1].probability + possible[2].probability, 1,
              1e-12);
  options.pattern = MeteringPattern::spot;
  EXPECT_EQ(possible_meterings(options, 70, 46).size(), 1U);
}

TEST(PatternNamed, knows_the_words_of_logs_and_of_metadata) {
  EXPECT_EQ(pattern_named("Spot on the face"), MeteringPattern::spot);
  EXPECT_EQ(pattern_named("centre_weighted"), MeteringPattern::centre_weighted);
  EXPECT_EQ(pattern_named("center weighted"), MeteringPattern::centre_weighted);
  EXPECT_EQ(pattern_named("average"), MeteringPattern::average);
  EXPECT_EQ(pattern_named("multi-spot"), std::nullopt);
  EXPECT_EQ(pattern_named("pattern"), std::nullopt);
  EXPECT_EQ(pattern_named(""), std::nullopt);
}

}  // namespace
}  // namespace basefog::reading
