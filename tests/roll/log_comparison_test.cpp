// SPDX-License-Identifier: GPL-3.0-or-later
#include "roll/log_comparison.hpp"

#include <gtest/gtest.h>

#include "roll/camera_findings.hpp"
#include "roll/logged_roll.hpp"

namespace basefog::roll {
namespace {

StopsEstimate about(double stops) { return {Stops(stops), Stops(stops - 0.2), Stops(stops + 0.2)}; }

/// Frames 0.5 over what was asked, each with a row of its own.
LoggedRoll roll_of(int frames) {
  LoggedRoll roll{.film = film::generic_black_and_white(FilmSpeed(400))};
  for (int i = 0; i < frames; ++i) {
    log::LogRow row;
    row.used = {ShutterTime(1.0 / 125), FNumber(8)};
    row.ei = FilmSpeed(400);
    row.scene = "gate";
    roll.add(about(0.5), row);
    roll.readings.back()->correction.estimate = about(0);
  }
  return roll;
}

CameraFindings findings(const LoggedRoll& roll) {
  return judge_camera(roll.compared(), roll.rows, roll.film);
}

TEST(CameraFindings, leave_out_frames_whose_row_is_doubtful) {
  LoggedRoll roll = roll_of(3);
  roll.rows.matching->frames[1].doubtful = true;
  EXPECT_TRUE(roll.compared()[1].deviation) << "it is shown, but not learned from";
  EXPECT_EQ(findings(roll).deviations.size(), 2U);
  EXPECT_EQ(findings(roll).technique_samples.size(), 2U);
}

TEST(CameraFindings, sum_over_the_rows_that_a_doubtful_frame_may_have) {
  // Rows that asked for 0, 0 and +2; by hand: mean 0.4, variance 0.2 * 4 - 0.16 = 0.64.
  LoggedRoll roll = roll_of(3);
  roll.rows.log->rows[2].compensation = Stops(2);
  roll.rows.log->rows[1].used.shutter = ShutterTime(1.0 / 60);
  roll.rows.log->rows[1].used.aperture = FNumber(11);
  matching::FrameMatch& match = roll.rows.matching->frames[0];
  match.doubtful = true;
  match.possible = {{0, 0.5}, {1, 0.3}, {2, 0.2}};
  const auto samples = findings(roll).deviations;
  ASSERT_EQ(samples.size(), 3U);
  EXPECT_NEAR(samples[0].deviation.value(), 0.5 - 0.4, 1e-9);
  EXPECT_NEAR(samples[0].sigma, 0.8, 1e-9);
  EXPECT_FALSE(samples[0].shutter) << "rows of nine tenths do not share it";
  EXPECT_TRUE(samples[1].shutter);
  EXPECT_EQ(findings(roll).technique_samples.size(), 2U);
  match.possible = {{std::nullopt, 0.6}, {0, 0.4}};
  EXPECT_EQ(findings(roll).deviations.size(), 2U) << "it more probably has none";
}

TEST(CameraFindings, learn_nothing_from_another_rolls_log) {
  LoggedRoll roll = roll_of(4);
  roll.rows.matching->log_test = {.belongs = matching::LogBelongs::no};
  EXPECT_TRUE(findings(roll).deviations.empty());
  EXPECT_FALSE(findings(roll).meter);
}

TEST(CameraFindings, leave_out_frames_without_a_row_or_with_a_clipped_base) {
  LoggedRoll roll = roll_of(4);
  roll.rows.matching->frames[0].row.reset();
  roll.readings[3]->flags.insert(Flag::clipped_base);
  EXPECT_EQ(findings(roll).deviations.size(), 2U);
}

TEST(CameraFindings, hidden_light_is_each_frames_own) {
  constexpr auto kClipping = reading::ErrorCause::clipping;
  LoggedRoll roll = roll_of(2);
  for (auto& reading : roll.readings) reading->exposure.budget[kClipping] = 0.8;
  for (const meter::DeviationSample& sample : findings(roll).deviations) {
    EXPECT_DOUBLE_EQ(sample.sigma, 0.8);
    EXPECT_EQ(sample.shared[kClipping], 0);
  }
}

TEST(CameraFindings, are_none_without_a_log) {
  LoggedRoll roll = roll_of(4);
  roll.rows = {};
  EXPECT_TRUE(roll.compared().empty());
  EXPECT_FALSE(findings(roll).meter);
}

TEST(CameraFindings, the_dial_is_where_the_middle_row_has_it) {
  LoggedRoll roll = roll_of(3);
  roll.rows.log->rows[0].ei = FilmSpeed(1600);
  EXPECT_EQ(findings(roll).dialled, FilmSpeed(400));
  for (log::LogRow& row : roll.rows.log->rows) row.ei.reset();
  EXPECT_FALSE(findings(roll).dialled);
}

TEST(CompareWithLog, says_where_words_and_light_disagree) {
  // 1/125 at f/8 on ISO 400, half a stop over: EV 11 + 0.5 at ISO 100 [APEX].
  LoggedRoll roll = roll_of(2);
  roll.rows.log->rows[1].scene = "night street";  // EV 7 to 8 [PH2.7]
  const std::vector<LoggedFrame> frames = roll.compared();
  EXPECT_NEAR(frames[0].scene_ev->value.value(), 11.5, 1e-9);
  EXPECT_NEAR(frames[0].scene_ev->low->value(), 11.3, 1e-9);
  EXPECT_FALSE(frames[0].flags.contains(Flag::log_contradicts_scene));
  EXPECT_TRUE(frames[1].flags.contains(Flag::log_contradicts_scene));
}

}  // namespace
}  // namespace basefog::roll
