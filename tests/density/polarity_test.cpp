// SPDX-License-Identifier: GPL-3.0-or-later
#include "density/polarity.hpp"

#include <gtest/gtest.h>

#include <cmath>
#include <random>

namespace basefog::density {
namespace {

/// A holder's mask, clear film, and a picture of slopes and grain, turned by some degrees.
decode::BlockImage drawn_negative(double degrees, double mask_light) {
  decode::BlockImage blocks{.width = 300, .height = 200, .channels = 1};
  blocks.mean.resize(60000);
  std::mt19937 random(7);
  std::normal_distribution<float> grain(0, 0.01F);
  const double a = degrees * 3.14159265 / 180;
  for (int y = 0; y < 200; ++y) {
    for (int x = 0; x < 300; ++x) {
      const double u = std::abs((x - 150) * std::cos(a) - (y - 100) * std::sin(a));
      const double v = std::abs((x - 150) * std::sin(a) + (y - 100) * std::cos(a));
      double light = 0.75;
      if (x < 6 || x >= 294 || y < 6 || y >= 194) light = mask_light;
      if (u < 132 && v < 84)
        light = 0.72 * std::pow(10, -1.4 * (0.5 + 0.5 * std::sin(x / 31.0 + y / 57.0)));
      blocks.mean[static_cast<std::size_t>(y) * 300 + x] =
          static_cast<float>(light) * std::pow(10.0F, grain(random));
    }
  }
  return blocks;
}

decode::BlockImage inverted(decode::BlockImage blocks) {
  for (float& light : blocks.mean) light = std::max(0.0F, 1 - light);
  return blocks;
}

TEST(Polarity, a_negative_is_none_whatever_its_mask_lets_through) {
  for (double degrees : {-2.0, 0.0, 1.5}) {
    for (double mask_light : {0.0005, 0.01, 0.04, 1.0}) {
      EXPECT_FALSE(shows_positive(drawn_negative(degrees, mask_light))) << degrees << mask_light;
    }
  }
}

TEST(Polarity, an_inverted_negative_is_known_by_its_dark_surround) {
  for (double degrees : {-2.0, 0.0, 1.5}) {
    EXPECT_TRUE(shows_positive(inverted(drawn_negative(degrees, 0.002)))) << degrees;
  }
}

TEST(Polarity, clear_film_alone_is_no_positive) {
  decode::BlockImage blocks = drawn_negative(0, 0.75);
  std::fill(blocks.mean.begin(), blocks.mean.end(), 0.75F);
  EXPECT_FALSE(shows_positive(blocks));
}

}  // namespace
}  // namespace basefog::density
