// SPDX-License-Identifier: GPL-3.0-or-later
#include "ensemble/weights.hpp"

#include <gtest/gtest.h>

#include <array>
#include <cmath>
#include <limits>

namespace basefog::ensemble {
namespace {

TEST(Weights, are_ratios_of_likelihoods_however_small) {
  const std::array logs = {-1000.0, -1000.0 + std::log(3),
                           -std::numeric_limits<double>::infinity()};
  const std::vector<double> weights = normalised(logs);
  EXPECT_NEAR(weights[0], 0.25, 1e-12);
  EXPECT_NEAR(weights[1], 0.75, 1e-12);
  EXPECT_EQ(weights[2], 0);
}

// [Kish1965]: n equal weights count as n, of which k of n carry all as k.
TEST(Weights, effective_number_of_equal_weights_is_their_count) {
  EXPECT_NEAR(effective_number(std::array{0.25, 0.25, 0.25, 0.25}), 4, 1e-12);
  EXPECT_NEAR(effective_number(std::array{0.5, 0.5, 0.0, 0.0}), 2, 1e-12);
  EXPECT_NEAR(effective_number(std::array{0.5, 0.25, 0.25}), 1 / 0.375, 1e-12);
}

TEST(Weights, are_tempered_only_as_far_as_needed) {
  std::vector<double> logs;
  for (int i = 0; i < 64; ++i) logs.push_back(-i);
  const std::vector<double> weights = tempered(logs, 1.0 / 8);
  EXPECT_NEAR(effective_number(weights), 8, 0.01);
  EXPECT_GT(weights[0], weights[1]);
  const std::vector<double> even(64, -3.0);
  EXPECT_NEAR(effective_number(tempered(even, 1.0 / 8)), 64, 1e-9);
}

// With equal weights the definition is type 5 of [HyndmanFan]: piecewise linear, the k-th of n
// values at (k - 1/2) / n. Table worked by hand.
TEST(WeightedQuantile, of_equal_weights_matches_HyndmanFan_type_5) {
  const std::array values = {30.0, 10.0, 40.0, 20.0};
  const std::array weights = {0.25, 0.25, 0.25, 0.25};
  const std::array shares = {0.0, 0.125, 0.25, 0.5, 0.6, 0.875, 1.0};
  const std::array expected = {10.0, 10.0, 15.0, 25.0, 29.0, 40.0, 40.0};
  const std::vector<double> found = weighted_quantiles(values, weights, shares);
  for (std::size_t i = 0; i < shares.size(); ++i) EXPECT_NEAR(found[i], expected[i], 1e-12) << i;
}

TEST(WeightedQuantile, of_a_value_twice_as_heavy_is_that_of_two_values) {
  const std::array twice = {1.0, 2.0, 2.0, 5.0};
  const std::array even = {0.25, 0.25, 0.25, 0.25};
  const std::array once = {1.0, 2.0, 5.0};
  const std::array heavy = {0.25, 0.5, 0.25};
  EXPECT_NEAR(weighted_quantiles(twice, even, std::array{0.5}).front(),
              weighted_quantiles(once, heavy, std::array{0.5}).front(), 1e-12);
}

TEST(WeightedQuantile, leaves_out_what_has_no_weight) {
  const std::array values = {-99.0, 1.0, 2.0, 99.0};
  const std::array weights = {0.0, 0.5, 0.5, 0.0};
  EXPECT_NEAR(weighted_quantiles(values, weights, std::array{0.5}).front(), 1.5, 1e-12);
}

}  // namespace
}  // namespace basefog::ensemble
