// SPDX-License-Identifier: GPL-3.0-or-later
#include "area/light_fall_off.hpp"

#include <gtest/gtest.h>

#include <algorithm>
#include <random>

namespace basefog::area {
namespace {

constexpr double kWidth = 600;
constexpr double kHeight = 400;
constexpr double kBare = 0.05;   ///< density of tone 0 at the middle
constexpr double kClear = 0.35;  ///< and of tone 1

/// 0.08 density over the scan, of second order.
double drawn(double x, double y) {
  const double u = 2 * x / kWidth - 1;
  const double v = 2 * y / kHeight - 1;
  return 0.02 * u - 0.01 * v + 0.025 * u * u + 0.005 * u * v + 0.02 * v * v;
}

/// Samples along the border of the scan, `deep` pixels wide: bare light outside, clear film inside.
std::vector<ToneSample> border(double deep, double right = kWidth) {
  std::mt19937 random(1);
  std::normal_distribution<float> noise(0, 0.003F);
  std::vector<ToneSample> samples;
  for (double y = 2; y < kHeight; y += 4) {
    for (double x = 2; x < right; x += 4) {
      const bool inside = x > deep && x < kWidth - deep && y > deep && y < kHeight - deep;
      if (inside) continue;
      const double from_edge = std::min({x, kWidth - x, y, kHeight - y});
      const int tone = from_edge < deep / 2 ? 0 : 1;
      samples.push_back(
          {x, y, static_cast<float>((tone == 0 ? kBare : kClear) + drawn(x, y)) + noise(random),
           tone});
    }
  }
  return samples;
}

const FrameRegion kFrame{kWidth / 2, kHeight / 2, 480, 320, 0};

TEST(LightFallOff, finds_a_drawn_surface) {
  const LightFallOff found = fit_supported_fall_off(border(40), kWidth, kHeight, {&kFrame, 1});
  for (const double x : {60.0, 300.0, 540.0}) {
    for (const double y : {40.0, 200.0, 360.0}) {
      EXPECT_NEAR(found.at(x, y), drawn(x, y), 0.001) << x << ", " << y;
    }
  }
}

TEST(LightFallOff, narrow_samples_support_less) {
  // A stripe at the left says nothing of the right: no quadratic, nor a plane, over the frame.
  const std::vector<ToneSample> stripe = border(kWidth, 12);
  ASSERT_GT(stripe.size(), 50U);
  const LightFallOff found = fit_supported_fall_off(stripe, kWidth, kHeight, {&kFrame, 1});
  EXPECT_EQ(found.at(540, 360), 0);
  // As does too little of anything.
  const std::vector<ToneSample> all = border(40);
  EXPECT_EQ(fit_supported_fall_off({all.data(), 49}, kWidth, kHeight, {&kFrame, 1}).at(540, 360),
            0);
}

}  // namespace
}  // namespace basefog::area
