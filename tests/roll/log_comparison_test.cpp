// SPDX-License-Identifier: GPL-3.0-or-later
#include "roll/log_comparison.hpp"

#include <gtest/gtest.h>

#include <utility>

namespace basefog::roll {
namespace {

StopsEstimate about(double stops) { return {Stops(stops), Stops(stops - 0.2), Stops(stops + 0.2)}; }

/// Frames 0.5 over what was asked, each with a row of its own.
Analysis roll_of(int frames) {
  Analysis analysis;
  analysis.film = film::generic_black_and_white(FilmSpeed(400));
  analysis.log.emplace();
  for (int i = 0; i < frames; ++i) {
    log::LogRow row;
    row.used = {ShutterTime(1.0 / 125), FNumber(8)};
    row.ei = FilmSpeed(400);
    row.scene = "gate";
    FrameResult frame;
    frame.state = density::FrameState::measured;
    frame.log_row = analysis.log->rows.size();
    frame.reading.emplace();
    frame.reading->exposure.estimate = about(0.5);
    frame.reading->correction.estimate = about(0);
    analysis.log->rows.push_back(std::move(row));
    analysis.frames.push_back(std::move(frame));
  }
  return analysis;
}

TEST(DeviationSamples, leave_out_frames_whose_row_is_doubtful) {
  Analysis analysis = roll_of(3);
  analysis.frames[1].flags.insert(Flag::match_doubtful);
  compare_with_log(analysis);
  EXPECT_TRUE(analysis.frames[1].deviation) << "it is shown, but not learned from";
  EXPECT_EQ(deviation_samples(analysis).size(), 2U);
  EXPECT_EQ(technique_samples(analysis).size(), 2U);
}

TEST(DeviationSamples, leave_out_frames_without_a_row_and_upper_bounds) {
  Analysis analysis = roll_of(4);
  analysis.frames[0].log_row.reset();
  analysis.frames[2].reading->exposure.estimate.low.reset();
  analysis.frames[3].reading->exposure.estimate.high.reset();
  analysis.frames[3].reading->flags.insert(Flag::clipped_base);
  compare_with_log(analysis);
  EXPECT_EQ(deviation_samples(analysis).size(), 1U);
}

TEST(DeviationSamples, count_a_lower_bound_with_the_light_that_may_be_hidden) {
  constexpr auto kClipping = reading::ErrorCause::clipping;
  Analysis analysis = roll_of(2);
  for (FrameResult& frame : analysis.frames) frame.reading->exposure.budget[kClipping] = 0.8;
  analysis.frames[1].reading->exposure.estimate.high.reset();
  compare_with_log(analysis);
  const auto samples = deviation_samples(analysis);
  ASSERT_EQ(samples.size(), 2U);
  for (const meter::DeviationSample& sample : samples) EXPECT_DOUBLE_EQ(sample.sigma, 0.8);
  EXPECT_EQ(samples[0].shared[kClipping], 0);
  EXPECT_EQ(samples[1].shared[kClipping], 0.8) << "one shoulder hides light on all frames";
}

TEST(CompareWithLog, says_where_words_and_light_disagree) {
  // 1/125 at f/8 on ISO 400, half a stop over: EV 11 + 0.5 at ISO 100 [APEX].
  Analysis analysis = roll_of(2);
  analysis.log->rows[1].scene = "night street";  // EV 7 to 8 [PH2.7]
  compare_with_log(analysis);
  EXPECT_NEAR(analysis.frames[0].scene_ev->value.value(), 11.5, 1e-9);
  EXPECT_NEAR(analysis.frames[0].scene_ev->low->value(), 11.3, 1e-9);
  EXPECT_FALSE(analysis.frames[0].flags.contains(Flag::log_contradicts_scene));
  EXPECT_TRUE(analysis.frames[1].flags.contains(Flag::log_contradicts_scene));
}

}  // namespace
}  // namespace basefog::roll
