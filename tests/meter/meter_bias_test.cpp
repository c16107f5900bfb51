// SPDX-License-Identifier: GPL-3.0-or-later
#include "basefog/meter/meter_bias.hpp"

#include <gmock/gmock.h>
#include <gtest/gtest.h>

#include <algorithm>
#include <cmath>
#include <random>

namespace basefog::meter {
namespace {

/// A camera that is off by known amounts, drawn without any of the estimator's parts.
struct BenchCamera {
  double bias = 0;
  double slow_speed_error = 0;  ///< at 1/30
  double frame_scatter = 0.1;
  double contrast_error = 0;  ///< in sigmas, shared by the roll
};

std::vector<DeviationSample> shoot_roll(const BenchCamera& camera, std::mt19937& random,
                                        const std::string& roll = "1", int frames = 36) {
  const double times[] = {1 / 30.0, 1 / 60.0, 1 / 125.0, 1 / 250.0, 1 / 500.0};
  const double stops[] = {2.8, 4, 5.6, 8, 11};
  std::normal_distribution<> normal;
  std::vector<DeviationSample> samples;
  for (int i = 0; i < frames; ++i) {
    const int speed = static_cast<int>(random() % 5);
    DeviationSample s;
    s.sigma = 0.1 + 0.1 * static_cast<double>(random() % 3);
    const double sensitivity = 0.3 * normal(random);
    s.shared[reading::ErrorCause::contrast] = sensitivity;
    s.deviation = Stops(camera.bias + (speed == 0 ? camera.slow_speed_error : 0) +
                        sensitivity * camera.contrast_error +
                        std::hypot(s.sigma, camera.frame_scatter) * normal(random));
    s.shutter = ShutterTime(times[speed]);
    s.aperture = FNumber(stops[random() % 5]);
    s.mode = log::ExposureMode::aperture_priority;
    s.roll = roll;
    samples.push_back(s);
  }
  return samples;
}

const BiasEffect* effect(const MeterBias& fit, const std::string& level) {
  for (const BiasEffect& e : fit.effects) {
    if (e.level == level) return &e;
  }
  return nullptr;
}

TEST(MeterBias, needs_three_frames_and_says_so) {
  const MeterBias fit = fit_meter_bias(std::vector<DeviationSample>(2));
  EXPECT_FALSE(fit.bias);
  EXPECT_THAT(fit.not_identifiable,
              ::testing::ElementsAre(NotIdentifiable{Confounded::too_few_frames, {}, {}}));
}

TEST(MeterBias, of_one_roll_is_within_its_interval_as_often_as_it_says) {
  std::mt19937 random(1);
  std::normal_distribution<> normal;
  int covered = 0;
  double squares = 0;
  constexpr int kRolls = 300;
  for (int i = 0; i < kRolls; ++i) {
    const BenchCamera camera{.bias = 0.7 * normal(random), .contrast_error = normal(random)};
    const MeterBias fit = fit_meter_bias(shoot_roll(camera, random));
    covered += fit.bias->low->value() <= camera.bias && camera.bias <= fit.bias->high->value();
    squares += std::pow(fit.bias->value.value() - camera.bias, 2);
  }
  EXPECT_GE(covered, kRolls * 92 / 100);
  EXPECT_LE(std::sqrt(squares / kRolls), 0.08);
}

TEST(MeterBias, names_a_sticky_speed_and_accuses_none_without_cause) {
  std::mt19937 random(2);
  int named = 0;
  int accused = 0;
  constexpr int kRolls = 100;
  for (int i = 0; i < kRolls; ++i) {
    const MeterBias sticky =
        fit_meter_bias(shoot_roll({.bias = -0.5, .slow_speed_error = 0.7}, random));
    const BiasEffect* slow = effect(sticky, "1/30");
    named += slow != nullptr && is_named(*slow);
    const MeterBias sound = fit_meter_bias(shoot_roll({.bias = -0.5}, random));
    for (const BiasEffect& e : sound.effects) {
      accused += e.factor == BiasFactor::shutter && is_named(e);
    }
  }
  EXPECT_GE(named, 90);
  EXPECT_LE(accused, kRolls * 3 / 100);
}

TEST(MeterBias, one_wild_frame_hardly_moves_it) {
  std::mt19937 random(3);
  std::vector<DeviationSample> samples = shoot_roll({.bias = 0.3}, random);
  const double before = fit_meter_bias(samples).bias->value.value();
  samples[7].deviation = Stops(6);
  EXPECT_NEAR(fit_meter_bias(samples).bias->value.value(), before, 0.03);
}

TEST(MeterBias, is_the_same_in_whatever_order_frames_are_given) {
  std::mt19937 random(6);
  std::vector<DeviationSample> samples = shoot_roll({.bias = 0.4, .slow_speed_error = 0.5}, random);
  const auto more = shoot_roll({.bias = 0.2}, random, "2");
  samples.insert(samples.end(), more.begin(), more.end());
  const MeterBias before = fit_meter_bias(samples);
  std::ranges::shuffle(samples, random);
  const MeterBias after = fit_meter_bias(samples);
  EXPECT_NEAR(after.bias->value.value(), before.bias->value.value(), 1e-4);
  EXPECT_NEAR(after.bias->low->value(), before.bias->low->value(), 1e-4);
  ASSERT_EQ(after.effects.size(), before.effects.size());
  for (const BiasEffect& one : before.effects) {
    const BiasEffect* other = effect(after, one.level);
    ASSERT_NE(other, nullptr) << one.level;
    EXPECT_NEAR(other->stops.value.value(), one.stops.value.value(), 1e-4) << one.level;
    EXPECT_EQ(other->frames, one.frames) << one.level;
  }
}

/// A camera that gives so much more on every frame is off by so much more, its speeds as before.
TEST(MeterBias, moves_with_all_frames_and_leaves_their_differences) {
  std::mt19937 random(7);
  std::vector<DeviationSample> samples = shoot_roll({.slow_speed_error = 0.6}, random);
  const MeterBias before = fit_meter_bias(samples);
  for (DeviationSample& sample : samples) sample.deviation += Stops(0.5);
  const MeterBias after = fit_meter_bias(samples);
  EXPECT_NEAR(after.bias->value.value() - before.bias->value.value(), 0.5, 0.05);
  EXPECT_NEAR(effect(after, "1/30")->stops.value.value(),
              effect(before, "1/30")->stops.value.value(), 0.05);
}

TEST(MeterBias, several_rolls_part_the_camera_from_film_and_development) {
  std::mt19937 random(4);
  std::vector<DeviationSample> samples;
  for (int roll = 0; roll < 6; ++roll) {
    const double batch = roll % 2 == 0 ? 0.15 : -0.15;
    const auto more = shoot_roll({.bias = -0.4 + batch}, random, std::to_string(roll));
    samples.insert(samples.end(), more.begin(), more.end());
  }
  const MeterBias fit = fit_meter_bias(samples);
  EXPECT_EQ(fit.rolls, 6);
  EXPECT_NEAR(fit.bias->value.value(), -0.4, 0.12);
  EXPECT_GT(effect(fit, "0")->stops.value, Stops(0.05));
  EXPECT_LT(effect(fit, "1")->stops.value, Stops(-0.05));
}

TEST(MeterBias, says_when_a_speed_and_an_aperture_cannot_be_told_apart) {
  std::mt19937 random(5);
  std::vector<DeviationSample> samples = shoot_roll({}, random);
  for (DeviationSample& s : samples) {
    const bool slow = *s.shutter == ShutterTime(1 / 30.0);
    s.shutter = ShutterTime(slow ? 1 / 30.0 : 1 / 125.0);
    s.aperture = FNumber(slow ? 2.8 : 8);
    if (slow) s.deviation += Stops(0.8);
  }
  EXPECT_THAT(fit_meter_bias(samples).not_identifiable,
              ::testing::Contains(NotIdentifiable{Confounded::levels, "1/30", "f/2.8"}));
}

TEST(MeterBias, rounding_by_hand_is_noise_and_counts_less_than_the_camera_s_own_times) {
  std::mt19937 random(6);
  std::uniform_real_distribution<> rounding(-0.5, 0.5);
  double squares = 0;
  double scatter = 0;
  constexpr int kRolls = 60;
  for (int roll = 0; roll < kRolls; ++roll) {
    std::vector<DeviationSample> samples = shoot_roll({.bias = -0.3}, random);
    for (std::size_t i = 0; i < samples.size(); i += 2) {
      samples[i].mode = log::ExposureMode::manual;
      samples[i].deviation += Stops(rounding(random));
    }
    const MeterBias fit = fit_meter_bias(samples);
    squares += std::pow(fit.bias->value.value() + 0.3, 2);
    scatter += fit.scatter / kRolls;
  }
  // Eighteen frames each, off by 0.2 and by 0.35: as if all counted alike, 0.07.
  EXPECT_LE(std::sqrt(squares / kRolls), 0.06);
  // Half of the frames by a uniform stop, 0.29, and all by 0.1: 0.23.
  EXPECT_NEAR(scatter, 0.23, 0.05);
}

TEST(MeterBias, a_row_that_states_what_the_meter_asked_for_is_no_rounding) {
  std::mt19937 random(7);
  // Five frames cannot say how much they scatter; whether marks were rounded to is known before.
  std::vector<DeviationSample> samples = shoot_roll({}, random, "1", 5);
  for (DeviationSample& sample : samples) sample.mode = log::ExposureMode::manual;
  const double rounded = fit_meter_bias(samples).scatter;
  for (DeviationSample& sample : samples) sample.request_logged = true;
  EXPECT_LT(fit_meter_bias(samples).scatter, rounded);
}

TEST(MeterBias, a_film_s_known_speed_is_told_and_counts_with_its_sigma) {
  std::mt19937 random(8);
  std::vector<DeviationSample> samples = shoot_roll({}, random);
  const MeterBias unknown = fit_meter_bias(samples);
  for (DeviationSample& sample : samples) sample.film_speed_sigma = 0.2;
  const MeterBias known = fit_meter_bias(samples);
  const auto half = [](const MeterBias& fit) {
    return (*fit.bias->high - *fit.bias->low).value() / 2;
  };
  EXPECT_NEAR(half(known), std::hypot(half(unknown), 1.96 * 0.2), 0.03);
  EXPECT_THAT(unknown.not_identifiable,
              ::testing::Contains(NotIdentifiable{Confounded::meter_speed_development, {}, {}}));
  EXPECT_THAT(known.not_identifiable,
              ::testing::Contains(NotIdentifiable{Confounded::meter_development, {}, {}}));
}

}  // namespace
}  // namespace basefog::meter
