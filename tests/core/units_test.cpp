// SPDX-License-Identifier: GPL-3.0-or-later
#include "basefog/core/units.hpp"

#include <gtest/gtest.h>

namespace basefog {
namespace {

static_assert((LogExposure::from_log10(-1.0) - LogExposure::from_log10(-1.30103)).value() > 0.999);
static_assert(Stops(1) + Stops(0.5) == Stops(1.5));
static_assert((Density::from_value(1.2) - Density::from_value(0.2)).value() == 1.0);
static_assert(NetDensity::above(Density::from_value(1.2), Density::from_value(0.2)) ==
              NetDensity(1.0));
static_assert(NetDensity(0.9) - NetDensity(0.5) == DensityDifference(0.9 - 0.5));

TEST(Stops, one_stop_is_a_factor_of_two) {
  EXPECT_DOUBLE_EQ(Stops::from_ratio(2).value(), 1);
  EXPECT_DOUBLE_EQ(Stops(-1).ratio(), 0.5);
  EXPECT_NEAR(Stops(1).log10(), 0.30103, 1e-6);
}

TEST(LogExposure, lux_seconds_roundtrips) {
  for (double h : {1e-4, 0.002, 0.0203125, 1.0, 50.0}) {
    EXPECT_NEAR(LogExposure::from_lux_seconds(h).lux_seconds(), h, 1e-12 * h);
  }
}

// [ISO5-1]: D = -log10 T; D 0.3 halves the light (to 0.3 %), D 1 passes a tenth, D 2 a hundredth.
TEST(Density, matches_ISO5_1) {
  EXPECT_NEAR(Density::from_value(0.3).transmittance(), 0.5, 0.002);
  EXPECT_NEAR(Density::from_value(1.0).transmittance(), 0.1, 1e-12);
  EXPECT_NEAR(Density::from_transmittance(0.01).value(), 2.0, 1e-12);
}

}  // namespace
}  // namespace basefog
