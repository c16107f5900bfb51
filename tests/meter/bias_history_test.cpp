// SPDX-License-Identifier: GPL-3.0-or-later
#include "basefog/meter/bias_history.hpp"

#include <gmock/gmock.h>
#include <gtest/gtest.h>

#include <array>
#include <chrono>
#include <cmath>
#include <cstdio>
#include <random>

namespace basefog::meter {
namespace {

constexpr double kFirstDay = 20454;  // 2026-01-01

std::string date_of(double day) {
  const std::chrono::sys_days days{std::chrono::days(static_cast<int>(day))};
  const std::chrono::year_month_day ymd{days};
  std::array<char, 16> text{};
  std::snprintf(text.data(), text.size(), "%04d-%02u-%02u", static_cast<int>(ymd.year()),
                static_cast<unsigned>(ymd.month()), static_cast<unsigned>(ymd.day()));
  return text.data();
}

/// A roll through a camera that is off by `bias` and, for each EV above 11, by `slope`.
RememberedRoll roll(int number, double bias, std::mt19937& random, double slope = 0,
                    double day = kFirstDay, const std::string& film = "pan film") {
  std::normal_distribution<> normal;
  RememberedRoll result{.name = std::to_string(number), .camera = "black one", .film = film};
  result.film_speed = FilmSpeed(400);
  result.date = date_of(day);
  for (int i = 0; i < 36; ++i) {
    DeviationSample sample;
    sample.frame = std::to_string(number) + "-" + std::to_string(i);
    const double light = 6 + 0.25 * i;
    sample.sigma = 0.1;
    sample.deviation = Stops(bias + slope * (light - 11) + 0.15 * normal(random));
    sample.light_ev = light;
    sample.mode = log::ExposureMode::aperture_priority;
    sample.shutter = ShutterTime(std::exp2(-static_cast<double>(4 + random() % 6)));
    sample.aperture = FNumber(std::exp2(static_cast<double>(2 + random() % 5) / 2));
    result.deviations.push_back(sample);
  }
  return result;
}

TEST(BiasHistory, days_are_counted_from_1970) {
  EXPECT_EQ(day_of("1970-01-02"), 1);
  EXPECT_EQ(day_of("2026-01-01T12:00:00"), kFirstDay);
  EXPECT_EQ(day_of("2000-03-01"), 11017);
  for (const char* none : {"", "May 2024", "2024-13-01", "2023-02-29", "12.5.2024", "2024-05"}) {
    EXPECT_FALSE(day_of(none)) << none;
  }
}

TEST(PreviousRoll, is_the_last_before_of_the_same_camera_and_film) {
  std::mt19937 random(4);
  std::vector<RememberedRoll> rolls{roll(1, 0.0, random, 0, kFirstDay),
                                    roll(2, -0.5, random, 0, kFirstDay + 20),
                                    roll(3, 0.9, random, 0, kFirstDay + 25, "slow film"),
                                    roll(5, 0.4, random, 0, kFirstDay + 60)};
  rolls.push_back(roll(6, 0.7, random, 0, kFirstDay + 28));
  rolls.back().camera = "another";
  const RememberedRoll now = roll(4, 0.2, random, 0, kFirstDay + 30);
  const auto before = previous_roll(rolls, now);
  ASSERT_TRUE(before);
  EXPECT_EQ(before->name, "2");
  EXPECT_EQ(before->date, "2026-01-21");
  EXPECT_EQ(before->frames, 36);
  EXPECT_NEAR(before->bias->value.value(), -0.5, 0.15);
  // What the frames are off by, and what they scatter by: 0.5 and 0.15.
  EXPECT_NEAR(before->rms, std::hypot(0.5, 0.15), 0.08);

  // A roll that is remembered already is not its own predecessor, nor is one without a camera's.
  EXPECT_EQ(previous_roll(rolls, rolls[1])->name, "1");
  EXPECT_FALSE(previous_roll(rolls, rolls[0]));
  RememberedRoll nameless = now;
  nameless.camera.clear();
  EXPECT_FALSE(previous_roll(rolls, nameless));
  // Without a date, the last of all.
  RememberedRoll undated = now;
  undated.date.clear();
  EXPECT_EQ(previous_roll(rolls, undated)->name, "5");
}

TEST(BiasHistory, a_battery_that_fades_shows_as_drift_and_the_bias_is_today_s) {
  std::mt19937 random(1);
  std::vector<RememberedRoll> rolls;
  for (int k = 0; k < 10; ++k) {
    rolls.push_back(roll(k, -0.1 * k + 0.05 * (k % 2), random, 0, kFirstDay + 30 * k));
  }
  const BiasHistory history = fit_bias_history(rolls);
  ASSERT_TRUE(history.meter.drift);
  EXPECT_NEAR(history.meter.drift->days, 270, 1e-9);
  EXPECT_NEAR(history.meter.drift->change.value.value(), -0.9, 0.3);
  EXPECT_LT(*history.meter.drift->change.high, Stops(0));
  EXPECT_NEAR(history.meter.bias->value.value(), -0.9, 0.25);
  EXPECT_EQ(history.first_date, "2026-01-01");
}

TEST(BiasHistory, a_jump_is_dated) {
  std::mt19937 random(2);
  std::vector<RememberedRoll> rolls;
  for (int k = 0; k < 12; ++k) {
    rolls.push_back(roll(k, k < 7 ? -0.8 : 0.0, random, 0, kFirstDay + 20 * k));
  }
  const BiasHistory history = fit_bias_history(rolls);
  ASSERT_TRUE(history.meter.drift && history.meter.drift->jump);
  EXPECT_EQ(history.meter.drift->jump_before_roll, "7");
  EXPECT_NEAR(history.meter.drift->jump->value.value(), 0.8, 0.3);
  EXPECT_NEAR(history.meter.bias->value.value(), 0, 0.15);
}

TEST(BiasHistory, a_steady_camera_has_no_drift) {
  std::mt19937 random(3);
  std::vector<RememberedRoll> rolls;
  for (int k = 0; k < 8; ++k) {
    rolls.push_back(roll(k, 0.05 * std::sin(5 * k), random, 0, kFirstDay + 30 * k));
  }
  const BiasHistory history = fit_bias_history(rolls);
  EXPECT_LE(history.meter.drift->change.low->value(), 0);
  EXPECT_GE(history.meter.drift->change.high->value(), 0);
  EXPECT_TRUE(history.misfits.empty());
}

TEST(BiasHistory, a_roll_that_went_wrong_does_not_fit_and_draws_nothing) {
  std::mt19937 random(4);
  std::vector<RememberedRoll> rolls;
  for (int k = 0; k < 6; ++k) rolls.push_back(roll(k, k == 3 ? 1.2 : 0.0, random));
  const BiasHistory history = fit_bias_history(rolls);
  ASSERT_EQ(history.misfits.size(), 1U);
  EXPECT_EQ(history.misfits.front().level, "3");
  EXPECT_NEAR(history.meter.bias->value.value(), 0, 0.1);
}

TEST(BiasHistory, films_stand_apart) {
  std::mt19937 random(5);
  std::vector<RememberedRoll> rolls;
  for (int k = 0; k < 8; ++k) {
    rolls.push_back(roll(k, k % 2 == 0 ? 0.3 : -0.3, random, 0, kFirstDay,
                         k % 2 == 0 ? "fast film" : "slow film"));
  }
  const BiasHistory history = fit_bias_history(rolls);
  double apart = 0;
  for (const BiasEffect& effect : history.meter.effects) {
    if (effect.factor != BiasFactor::film) continue;
    apart +=
        effect.level.starts_with("fast") ? effect.stops.value.value() : -effect.stops.value.value();
  }
  EXPECT_NEAR(apart, 0.6, 0.25);
  EXPECT_EQ(history.films.size(), 2U);
}

TEST(BiasHistory, a_slope_is_found_over_three_rolls) {
  std::mt19937 random(6);
  std::vector<RememberedRoll> rolls;
  for (int k = 0; k < 3; ++k) rolls.push_back(roll(k, 0.2, random, 0.2));
  int found = 0;
  for (const BiasEffect& effect : fit_bias_history(rolls).meter.effects) {
    if (effect.factor != BiasFactor::light_level) continue;
    ++found;
    EXPECT_NEAR(effect.stops.value.value(), 0.2, 0.03);
    EXPECT_GT(*effect.stops.low, Stops(0));
  }
  EXPECT_EQ(found, 1);
}

TEST(BiasHistory, tells_the_same_roll_from_another) {
  std::mt19937 random(7);
  const RememberedRoll first = roll(1, 0, random);
  RememberedRoll again = first;
  again.deviations.resize(30);
  for (DeviationSample& sample : again.deviations) sample.deviation += Stops(0.1);
  EXPECT_TRUE(is_same_roll(first, again));
  EXPECT_FALSE(is_same_roll(first, roll(2, 0, random)));
}

TEST(BiasHistory, rolls_of_other_days_or_scenes_are_not_the_same_for_their_settings) {
  std::mt19937 random(8);
  RememberedRoll first = roll(1, 0, random);
  RememberedRoll second = first;
  ASSERT_TRUE(is_same_roll(first, second));
  second.date = "2031-02-03";
  EXPECT_EQ(is_same_roll(first, second), !day_of(first.date));
  first.date.clear();
  EXPECT_TRUE(is_same_roll(first, second));
  first.techniques = {{.scene = "gate"}, {.scene = "street"}};
  second.techniques = {{.scene = "beach"}, {.scene = "tower"}};
  EXPECT_FALSE(is_same_roll(first, second));
  second.techniques = first.techniques;
  EXPECT_TRUE(is_same_roll(first, second));
  second.techniques.resize(1);  // read once with fewer scenes than the other time
  first.techniques.resize(5, {.scene = "pier"});
  EXPECT_TRUE(is_same_roll(first, second));
  EXPECT_TRUE(is_same_roll(second, first));
  for (RememberedRoll* one : {&first, &second}) {
    for (DeviationSample& sample : one->deviations) sample.shutter.reset(), sample.aperture.reset();
  }
  EXPECT_FALSE(is_same_roll(first, second));
}

}  // namespace
}  // namespace basefog::meter
