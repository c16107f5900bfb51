// SPDX-License-Identifier: GPL-3.0-or-later
#include "basefog/roll/camera_review.hpp"

#include <gtest/gtest.h>

#include <cmath>
#include <random>
#include <string>
#include <utility>
#include <vector>

namespace basefog::roll {
namespace {

/// Rolls a month apart, of 24 frames each, whose bias changes by so many stops from one to the
/// next.
std::vector<meter::RememberedRoll> rolls_of(double change) {
  std::mt19937 random(1);
  std::normal_distribution<> normal(0, 0.15);
  std::vector<meter::RememberedRoll> rolls;
  for (int k = 0; k < 9; ++k) {
    const std::string name = std::to_string(k + 1);
    meter::RememberedRoll roll{.name = name, .camera = "black one", .film = "pan film"};
    roll.film_speed = FilmSpeed(400);
    roll.date = "2026-0" + name + "-01";
    for (int i = 0; i < 24; ++i) {
      meter::DeviationSample sample{.deviation = Stops(change * k + normal(random)), .sigma = 0.1};
      sample.shutter = ShutterTime(std::exp2(-static_cast<double>(4 + i % 6)));
      sample.aperture = FNumber(std::exp2(static_cast<double>(2 + i % 5) / 2));
      roll.deviations.push_back(sample);
    }
    rolls.push_back(std::move(roll));
  }
  return rolls;
}

TEST(CameraReview, a_meter_that_drifts_is_to_be_checked_first) {
  const CameraReview review = review_camera(rolls_of(-0.1));
  ASSERT_FALSE(review.advice.empty());
  EXPECT_TRUE(std::holds_alternative<CheckDrift>(review.advice.front()));
}

TEST(CameraReview, a_sound_camera_is_left_alone) {
  const CameraReview review = review_camera(rolls_of(0));
  ASSERT_TRUE(review.next_roll);
  EXPECT_EQ(review.next_roll->state, plan::PlanState::as_asked);
  EXPECT_TRUE(review.next_roll->add.empty());
}

}  // namespace
}  // namespace basefog::roll
