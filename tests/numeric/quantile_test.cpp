// SPDX-License-Identifier: GPL-3.0-or-later
#include "numeric/quantile.hpp"

#include <gtest/gtest.h>

#include <array>
#include <cmath>
#include <numbers>

namespace basefog::numeric {
namespace {

// [HyndmanFan] type 7, the default of R: quantile(1:4, c(0.25, 0.5)) is 1.75, 2.5.
TEST(Quantile, matches_HyndmanFan_type_7) {
  const std::array<double, 4> values = {1, 2, 3, 4};
  EXPECT_DOUBLE_EQ(sorted_quantile(values, 0.25), 1.75);
  EXPECT_DOUBLE_EQ(sorted_quantile(values, 0.5), 2.5);
  EXPECT_DOUBLE_EQ(sorted_quantile(values, 0), 1);
  EXPECT_DOUBLE_EQ(sorted_quantile(values, 1), 4);
  EXPECT_TRUE(std::isnan(sorted_quantile({}, 0.5)));
}

// Tables of the normal distribution: 0.975 at 1.959964, 0.8413447 at 1.
TEST(Normal, matches_tables) {
  EXPECT_NEAR(normal_cdf(1.959963985), 0.975, 1e-9);
  EXPECT_NEAR(normal_cdf(1), 0.8413447, 1e-7);
}

TEST(WeightedMedian, has_half_of_the_weight_to_either_side) {
  EXPECT_EQ(weighted_median({{3, 1}, {1, 1}, {2, 1}}), 2);
  EXPECT_EQ(weighted_median({{1, 1}, {2, 1}, {9, 5}}), 9);
  EXPECT_EQ(weighted_median({{5, 0.1}}), 5);
  EXPECT_EQ(weighted_median({}), 0);
}

TEST(Quantile, of_values_in_any_order_is_that_of_sorted_ones) {
  const std::vector<double> sorted{1, 2, 4, 8, 16, 32};
  const std::vector<double> mixed{16, 1, 8, 32, 2, 4};
  for (const double p : {-0.1, 0.0, 0.1, 0.33, 0.5, 0.77, 1.0, 1.5}) {
    EXPECT_DOUBLE_EQ(quantile(mixed, p), sorted_quantile(sorted, p)) << p;
  }
  EXPECT_DOUBLE_EQ(quantile(std::vector<float>{3, 1, 2}, 0.25), 1.5);
}

TEST(RobustSpread, is_the_standard_deviation_of_normal_values_and_bears_wild_ones) {
  std::vector<double> values;
  for (double p = 0.0005; p < 1; p += 0.001) {
    double low = -9;
    double high = 9;
    while (high - low > 1e-7) {
      const double z = (low + high) / 2;
      (normal_cdf(z) < p ? low : high) = z;
    }
    values.push_back(3 + 2 * low);
  }
  EXPECT_NEAR(robust_spread(values).median, 3, 1e-3);
  EXPECT_NEAR(robust_spread(values).sigma, 2, 0.01);
  for (int i = 0; i < 100; ++i) values.push_back(1e6);
  EXPECT_NEAR(robust_spread(values).sigma, 2, 0.4);
  EXPECT_DOUBLE_EQ(robust_sigma({-1, 1, -3}), kSigmaPerMad);
  EXPECT_TRUE(std::isnan(robust_spread({}).sigma));
}

// Of the normal distribution, to the digits given.
TEST(RobustSpread, factors_are_those_of_a_normal_distribution) {
  EXPECT_NEAR(normal_cdf(1 / kSigmaPerMad), 0.75, 1e-5);
  EXPECT_NEAR(normal_cdf(kQuartilesApart / 2), 0.75, 1e-4);
  EXPECT_NEAR(kMedianOverMean * kMedianOverMean, std::numbers::pi / 2, 1e-4);
}

TEST(Quantile, median_of_an_even_number_lies_between_the_middle_two) {
  EXPECT_DOUBLE_EQ(median(std::vector<double>{4, 1, 3, 2}), 2.5);
  EXPECT_DOUBLE_EQ(median(std::vector<float>{5, 1, 9}), 5);
  EXPECT_TRUE(std::isnan(median(std::vector<double>{})));
}

}  // namespace
}  // namespace basefog::numeric
