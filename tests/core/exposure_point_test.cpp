// SPDX-License-Identifier: GPL-3.0-or-later
#include "basefog/core/exposure_point.hpp"

#include <gtest/gtest.h>

#include "basefog/core/settings.hpp"

namespace basefog {
namespace {

constexpr ExposureAboveSpeedPoint kAimOnFilm(3.34);  // 8.125/S over 0.8/S [ISO6]

static_assert(ExposureFromAim(1) - ExposureFromAim(-0.5) == Stops(1.5));
static_assert(ExposureFromAim(1) - Stops(2) == ExposureFromAim(-1));
static_assert(ExposureFromAim() < ExposureFromAim(0.1));
static_assert(from_aim(kAimOnFilm, kAimOnFilm) == ExposureFromAim());
static_assert(from_aim(ExposureAboveSpeedPoint(), kAimOnFilm) == ExposureFromAim(-3.34));
static_assert(above_speed_point(ExposureFromAim(1), kAimOnFilm) == ExposureAboveSpeedPoint(4.34));

TEST(ExposurePoint, the_aim_lies_3_34_stops_above_the_ISO_6_speed_point_at_every_speed) {
  for (const double speed : {25.0, 100.0, 3200.0}) {
    const LogExposure aim = Aim{.film_speed = FilmSpeed(speed)}.log_exposure();
    const LogExposure speed_point = LogExposure::from_lux_seconds(0.8 / speed);
    EXPECT_NEAR(above_speed_point(aim, speed_point).value(), kAimOnFilm.value(), 0.005);
  }
}

TEST(ExposurePoint, estimates_keep_their_open_ends_on_the_way_to_stops_and_back) {
  const Estimate<ExposureFromAim> at_least{ExposureFromAim(0.5), ExposureFromAim(0.2), {}};
  const StopsEstimate stops = in_stops(at_least);
  EXPECT_EQ(stops.value, Stops(0.5));
  EXPECT_EQ(stops.low, Stops(0.2));
  EXPECT_FALSE(stops.high);
  const auto back = from_stops<ExposureFromAim>(stops);
  EXPECT_EQ(back.value, at_least.value);
  EXPECT_EQ(back.low, at_least.low);
  EXPECT_FALSE(back.high);
}

}  // namespace
}  // namespace basefog
