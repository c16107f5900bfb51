// SPDX-License-Identifier: GPL-3.0-or-later
#include "basefog/log/equivalents.hpp"

#include <gmock/gmock.h>
#include <gtest/gtest.h>

#include <algorithm>
#include <random>

namespace basefog::log {
namespace {

using ::testing::HasSubstr;
using ::testing::Not;

constexpr ExposureMode kModes[] = {ExposureMode::manual, ExposureMode::aperture_priority,
                                   ExposureMode::shutter_priority, ExposureMode::program};

ShutterTime seconds(double denominator) { return ShutterTime(1 / denominator); }

EquivalentQuestion question(double denominator, double n, double stops) {
  return {.shutter = seconds(denominator), .aperture = FNumber(n), .wanted = Stops(stops)};
}

std::vector<std::string> pairs(const std::vector<EquivalentSettings>& all) {
  std::vector<std::string> text;
  for (const EquivalentSettings& s : all) {
    text.push_back(as_marked(s.shutter) + " " + as_marked(s.aperture));
  }
  return text;
}

TEST(Equivalents, the_textbook_row_of_one_exposure) {
  // Common practice: 1/125 at f/8 is 1/60 at f/11, 1/250 at f/5.6, 1/500 at f/4, 1/1000 at f/2.8.
  const auto all = equivalent_settings(default_camera(), question(125, 8, 0));
  EXPECT_THAT(pairs(all), ::testing::ElementsAre("1/15 f/22", "1/30 f/16", "1/60 f/11", "1/125 f/8",
                                                 "1/250 f/5.6", "1/500 f/4", "1/1000 f/2.8"));
}

TEST(Equivalents, opening_from_4_to_2_8_is_a_stop_and_halves_the_time) {
  EXPECT_NEAR(exposure_change(seconds(60), FNumber(2.8), seconds(60), FNumber(4)).value(), 1, 1e-9);
  EXPECT_NEAR(exposure_change(seconds(125), FNumber(2.8), seconds(60), FNumber(4)).value(), 0,
              1e-9);
}

TEST(Equivalents, film_of_twice_the_speed_needs_half_the_light) {
  EXPECT_NEAR(FilmSpeed(200).speed_value() - FilmSpeed(100).speed_value(), 1, 1e-9);
  EXPECT_NEAR(Aim{.film_speed = FilmSpeed(200)}.lux_seconds() /
                  Aim{.film_speed = FilmSpeed(100)}.lux_seconds(),
              0.5, 1e-12);
}

TEST(Equivalents, every_pair_is_marked_and_within_half_a_mark) {
  Camera camera = default_camera();
  camera.shutter = standard_times(MarkSteps::third);
  camera.stops = standard_stops(MarkSteps::third, FNumber(2), FNumber(16));
  for (const double stops : {-3.0, -0.6, 0.0, 0.35, 1.0, 2.7}) {
    const auto all = equivalent_settings(camera, question(60, 5.6, stops));
    EXPECT_GE(all.size(), 10U);
    for (const EquivalentSettings& s : all) {
      EXPECT_LE(std::abs(s.off.value()), 1.0 / 6 + 1e-9);
      EXPECT_NE(std::ranges::find(camera.shutter, s.shutter), camera.shutter.end());
      EXPECT_NE(std::ranges::find(camera.stops, s.aperture), camera.stops.end());
    }
  }
}

TEST(Equivalents, nothing_beyond_the_lens_or_the_shutter) {
  const auto all = equivalent_settings(default_camera(), question(1000, 22, -1));
  EXPECT_TRUE(all.empty()) << ::testing::PrintToString(pairs(all));
}

TEST(Equivalents, costs_are_ratios_of_time_and_stop) {
  int found = 0;
  for (const EquivalentSettings& s : equivalent_settings(default_camera(), question(125, 8, 0))) {
    if (s.shutter != seconds(30)) continue;
    ++found;
    EXPECT_NEAR(s.blur, 4, 1e-9);
    EXPECT_NEAR(s.depth_of_field, 2, 1e-9);
    EXPECT_TRUE(s.below_hand_hold);
  }
  EXPECT_EQ(found, 1);
}

ReplacementQuestion frame(ExposureMode mode, double denominator, double n, double stops) {
  return {.settings = question(denominator, n, stops), .mode = mode};
}

TEST(Replacement, aperture_priority_changes_the_time_and_gives_what_to_dial) {
  const auto found =
      replacement_settings(default_camera(), frame(ExposureMode::aperture_priority, 250, 8, 1.05));
  ASSERT_EQ(found.options.size(), 1U);
  const Replacement& only = found.options.front();
  EXPECT_EQ(only.changed, SettingChanged::shutter);
  EXPECT_EQ(only.settings.shutter, seconds(125));
  EXPECT_EQ(only.settings.aperture, FNumber(8));
  EXPECT_NEAR(only.compensation->stops.value(), 1, 1e-9);
  EXPECT_FALSE(only.compensation->beyond_dial);
}

TEST(Replacement, compensation_is_in_all_what_was_dialled_and_what_was_missing) {
  ReplacementQuestion q = frame(ExposureMode::aperture_priority, 250, 8, 0.7);
  q.compensation = Stops(1);
  const auto found = replacement_settings(default_camera(), q);
  EXPECT_NEAR(found.options.front().compensation->stops.value(), 5.0 / 3, 1e-9);
  q.settings.wanted = Stops(2);
  EXPECT_TRUE(replacement_settings(default_camera(), q).options.front().compensation->beyond_dial);
}

TEST(Replacement, compensation_is_to_the_dial_s_own_step) {
  Camera camera = default_camera();
  camera.compensation_step = Stops(0.5);
  const auto found =
      replacement_settings(camera, frame(ExposureMode::aperture_priority, 250, 8, 1.4));
  EXPECT_NEAR(found.options.front().compensation->stops.value(), 1.5, 1e-9);
  EXPECT_EQ(found.options.front().compensation->step, Stops(0.5));
}

TEST(Replacement, shutter_priority_changes_the_stop_and_costs_depth) {
  const auto found =
      replacement_settings(default_camera(), frame(ExposureMode::shutter_priority, 250, 8, 2));
  ASSERT_EQ(found.options.size(), 1U);
  EXPECT_EQ(found.options.front().changed, SettingChanged::aperture);
  EXPECT_EQ(found.options.front().settings.aperture, FNumber(4));
  EXPECT_NEAR(found.options.front().settings.depth_of_field, 0.5, 1e-9);
}

TEST(Replacement, manual_offers_both) {
  const auto found =
      replacement_settings(default_camera(), frame(ExposureMode::manual, 250, 8, -1));
  ASSERT_EQ(found.options.size(), 2U);
  EXPECT_FALSE(found.options[0].compensation);
  const std::vector pairs = {
      std::pair(found.options[0].settings.shutter, found.options[0].settings.aperture),
      std::pair(found.options[1].settings.shutter, found.options[1].settings.aperture)};
  EXPECT_THAT(pairs, ::testing::UnorderedElementsAre(std::pair(seconds(500), FNumber(8)),
                                                     std::pair(seconds(250), FNumber(11))));
}

TEST(Replacement, below_the_hand_hold_limit_it_wants_a_tripod_or_opens_up_instead) {
  ReplacementQuestion q = frame(ExposureMode::aperture_priority, 60, 8, 2);
  q.settings.focal_length_mm = 50;
  const auto found = replacement_settings(default_camera(), q);
  ASSERT_EQ(found.options.size(), 2U);
  EXPECT_EQ(found.options[0].changed, SettingChanged::aperture);
  EXPECT_EQ(found.options[0].settings.aperture, FNumber(4));
  EXPECT_TRUE(found.options[1].settings.below_hand_hold);
  EXPECT_FALSE(found.options[0].settings.below_hand_hold);
}

TEST(Replacement, stays_inside_the_lens_s_range) {
  CameraLens lens{.name = "long", .shortest_mm = 200, .longest_mm = 200};
  lens.stops = standard_stops(MarkSteps::full, FNumber(4), FNumber(22));
  ReplacementQuestion q = frame(ExposureMode::shutter_priority, 250, 5.6, 2);
  q.settings.lens = &lens;
  const auto found = replacement_settings(default_camera(), q);
  for (const Replacement& r : found.options) {
    EXPECT_GE(r.settings.aperture, FNumber(4));
    EXPECT_TRUE(r.settings.below_hand_hold);  // slower than 1/200
  }
  ASSERT_FALSE(found.options.empty());
}

TEST(Replacement, gives_the_reason_where_there_is_none) {
  ReplacementQuestion q = frame(ExposureMode::manual, 1000, 22, -3);
  const auto found = replacement_settings(default_camera(), q);
  EXPECT_TRUE(found.options.empty());
  EXPECT_EQ(found.none, NoReplacement::too_bright);
  EXPECT_EQ(replacement_settings(default_camera(), frame(ExposureMode::manual, 1, 1.4, 3)).none,
            NoReplacement::too_dark_with_bulb);
}

TEST(Replacement, leaving_a_speed_that_sticks_counts) {
  // 1/30 gives 0.7 too much and the frame is over by 0.7: the next speed at the same exposure mark
  // would change by a whole stop and 0.7 besides.
  ReplacementQuestion q = frame(ExposureMode::manual, 30, 4, -0.7);
  q.known_errors = {{seconds(30), Stops(0.7)}};
  const auto found = replacement_settings(default_camera(), q);
  ASSERT_FALSE(found.options.empty());
  const EquivalentSettings& best = found.options.front().settings;
  EXPECT_NEAR(best.off.value(), 0, 0.01);
  // 1/60 at f/2.8 has the marks' exposure unchanged and the speed's error gone.
  EXPECT_NEAR(exposure_change(best.shutter, best.aperture, seconds(30), FNumber(4)).value(), 0,
              1e-9);
  EXPECT_NE(best.shutter, seconds(30));
}

/// Cameras with sticky speeds, modes and settings at random.
TEST(Replacement, an_over_exposed_frame_is_never_told_to_add_nor_the_other_way_about) {
  std::mt19937 random(4);
  std::uniform_real_distribution<> stops(0.5, 3);
  std::uniform_real_distribution<> error(-0.9, 0.9);
  const Camera camera = default_camera();
  int given = 0;
  for (int trial = 0; trial < 2000; ++trial) {
    const double wanted = (trial % 2 == 0 ? 1 : -1) * stops(random);
    const double speeds[] = {4, 15, 30, 60, 180, 250, 500};
    const double marks[] = {1.8, 2.8, 4, 6.3, 8, 11};
    ReplacementQuestion q =
        frame(kModes[random() % 4], speeds[random() % 7], marks[random() % 6], wanted);
    q.compensation = Stops(static_cast<double>(random() % 3) - 1);
    q.known_errors = {{seconds(250), Stops(error(random))}, {seconds(30), Stops(error(random))}};
    for (const Replacement& one : replacement_settings(camera, q).options) {
      ++given;
      EXPECT_GT(one.settings.change.value() * wanted, 0) << wanted;
      if (!one.compensation) continue;
      EXPECT_GE((one.compensation->stops - q.compensation).value() * wanted, 0) << wanted;
    }
  }
  EXPECT_GT(given, 1500);
}

}  // namespace
}  // namespace basefog::log
