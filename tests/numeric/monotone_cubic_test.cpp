// SPDX-License-Identifier: GPL-3.0-or-later
#include "numeric/monotone_cubic.hpp"

#include <gtest/gtest.h>

#include <array>
#include <cmath>

namespace basefog::numeric {
namespace {

// [FritschCarlson, table 1], data set RPN 14: radiochemical data that a plain cubic spline makes
// overshoot (from memory; the test only asks for the monotone shape the paper asks for).
constexpr std::array<double, 9> kX = {7.99, 8.09, 8.19, 8.7, 9.2, 10, 12, 15, 20};
constexpr std::array<double, 9> kY = {0,        2.76429e-5, 4.37498e-2, 0.169183, 0.469428,
                                      0.943740, 0.998636,   0.999919,   0.999994};

CubicPiece piece(std::size_t i, const std::vector<double>& slopes) {
  return {kX[i + 1] - kX[i], kY[i], kY[i + 1], slopes[i], slopes[i + 1]};
}

TEST(MonotoneCubic, keeps_the_shape_of_FritschCarlson_data) {
  const std::vector<double> slopes = monotone_slopes(kX, kY);
  for (std::size_t i = 0; i + 1 < kX.size(); ++i) {
    const CubicPiece p = piece(i, slopes);
    EXPECT_DOUBLE_EQ(p.value(0), kY[i]);
    EXPECT_NEAR(p.value(p.width), kY[i + 1], 1e-15);
    double last = kY[i];
    for (int k = 1; k <= 100; ++k) {
      EXPECT_GE(p.value(p.width * k / 100), last - 1e-15);
      EXPECT_GE(p.slope(p.width * k / 100), -1e-12);
      last = p.value(p.width * k / 100);
    }
  }
}

// A parabola's harmonic slopes differ, but a straight line must stay one.
TEST(MonotoneCubic, straight_line_stays_straight) {
  const std::array<double, 4> x = {0, 1, 3, 4};
  const std::array<double, 4> y = {1, 3, 7, 9};
  for (double slope : monotone_slopes(x, y)) EXPECT_NEAR(slope, 2, 1e-12);
}

TEST(MonotoneCubic, inverse_roundtrips) {
  const std::vector<double> slopes = monotone_slopes(kX, kY);
  for (std::size_t i = 0; i + 1 < kX.size(); ++i) {
    const CubicPiece p = piece(i, slopes);
    for (int k = 0; k <= 64; ++k) {
      const double y = p.value(p.width * k / 64);
      EXPECT_NEAR(p.value(p.inverse(y)), y, 1e-14);
    }
  }
}

TEST(MonotoneCubic, limited_slopes_never_overshoot) {
  const std::array<double, 4> x = {0, 1, 2, 3};
  const std::array<double, 4> y = {0, 0.01, 1, 1.01};
  std::array<double, 4> slopes = {5, 5, 5, -1};
  limit_slopes(x, y, slopes);
  for (std::size_t i = 0; i + 1 < x.size(); ++i) {
    const CubicPiece p{1, y[i], y[i + 1], slopes[i], slopes[i + 1]};
    for (int k = 0; k <= 50; ++k) EXPECT_GE(p.slope(k / 50.0), -1e-12);
  }
}

}  // namespace
}  // namespace basefog::numeric
