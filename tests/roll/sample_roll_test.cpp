// SPDX-License-Identifier: GPL-3.0-or-later
// The main job on the sample roll, against what the simulator knows to be true. The simulator
// shares no formula with src/ (see tests/simulator).
#include <gtest/gtest.h>

#include <cmath>
#include <fstream>
#include <nlohmann/json.hpp>

#include "basefog/roll/analysis.hpp"

namespace basefog::roll {
namespace {

const std::filesystem::path kRoll = std::filesystem::path(BASEFOG_SAMPLES) / "roll";

class SampleRoll : public ::testing::Test {
 protected:
  static void SetUpTestSuite() {
    std::ifstream file(kRoll / "truth.json");
    truth = nlohmann::json::parse(file);
    ReviewOptions options;
    options.log = kRoll / "log.csv";
    options.film_speed = FilmSpeed(400);
    analysis = review({kRoll}, options);
  }

  /// Root mean square of an answer's error over the frames where it is two-sided.
  template <class Point>
  static double rms(const char* key, reading::Answer<Point> reading::FrameReading::*answer,
                    int* frames = nullptr) {
    double squares = 0;
    int count = 0;
    for (std::size_t i = 0; i < analysis.frames.size(); ++i) {
      const auto& reading = analysis.frames[i].reading;
      if (truth["frames"][i]["state"] != "measured") continue;
      if (!reading || !((*reading).*answer).estimate.two_sided()) continue;
      const double error =
          ((*reading).*answer).estimate.value.value() - truth["frames"][i][key].get<double>();
      squares += error * error;
      ++count;
    }
    if (frames != nullptr) *frames = count;
    return count == 0 ? 1e9 : std::sqrt(squares / count);
  }

  static nlohmann::json truth;
  static Analysis analysis;
};

nlohmann::json SampleRoll::truth;
Analysis SampleRoll::analysis;

TEST_F(SampleRoll, every_frame_is_given_its_state) {
  ASSERT_EQ(analysis.frames.size(), truth["frames"].size());
  for (std::size_t i = 0; i < analysis.frames.size(); ++i) {
    EXPECT_EQ(name_of(analysis.frames[i].state), truth["frames"][i]["state"]) << i;
  }
}

TEST_F(SampleRoll, base_is_the_film_s_own) {
  for (std::size_t i = 0; i < analysis.frames.size(); ++i) {
    const FrameResult& frame = analysis.frames[i];
    if (frame.state != density::FrameState::measured) continue;
    EXPECT_EQ(frame.reference.kind, density::ReferenceKind::rebate) << i;
    EXPECT_NEAR(frame.reference.density.at(0).value(),
                truth["frames"][i]["scan_base_density"].get<double>(), 0.01)
        << i;
  }
}

TEST_F(SampleRoll, exposure_is_within_a_quarter_stop_rms) {
  int frames = 0;
  EXPECT_LE(rms("exposure_stops", &reading::FrameReading::exposure, &frames), 0.25);
  EXPECT_GE(frames,
            8);  // both ends known: lamps, and highlights where the shoulder may be, leave one
}

TEST_F(SampleRoll, shadow_reserve_is_within_four_tenths_rms_where_film_can_tell) {
  int frames = 0;
  EXPECT_LE(rms("shadow_reserve_stops", &reading::FrameReading::shadow_reserve, &frames), 0.4);
  EXPECT_GE(frames, 6);
  // A reserve given as "at most" must be at most that.
  for (std::size_t i = 0; i < analysis.frames.size(); ++i) {
    const auto& reading = analysis.frames[i].reading;
    if (!reading || reading->shadow_reserve.estimate.low) continue;
    EXPECT_LE(truth["frames"][i]["shadow_reserve_stops"].get<double>(),
              reading->shadow_reserve.estimate.high->value())
        << i;
  }
}

TEST_F(SampleRoll, intervals_hold_the_truth_nearly_always) {
  int held = 0;
  int all = 0;
  for (std::size_t i = 0; i < analysis.frames.size(); ++i) {
    if (truth["frames"][i]["state"] != "measured" || !analysis.frames[i].reading) continue;
    const Estimate<ExposureFromAim>& exposure = analysis.frames[i].reading->exposure.estimate;
    const double true_stops = truth["frames"][i]["exposure_stops"];
    held += (!exposure.low || exposure.low->value() <= true_stops) &&
            (!exposure.high || true_stops <= exposure.high->value());
    ++all;
  }
  EXPECT_GE(held, all - 1);
}

TEST_F(SampleRoll, frames_belong_to_the_rows_they_were_written_in) {
  for (std::size_t i = 0; i < analysis.frames.size(); ++i) {
    const auto& row = analysis.frames[i].log_row;
    const auto& logged = truth["frames"][i]["log_row"];
    EXPECT_EQ(row ? analysis.log->rows[*row].frame : "",
              logged.is_string() ? logged.get<std::string>() : "")
        << i;
  }
}

TEST_F(SampleRoll, bias_is_within_its_interval_and_a_quarter_stop) {
  ASSERT_TRUE(analysis.meter && analysis.meter->bias);
  const StopsEstimate& bias = *analysis.meter->bias;
  const double true_bias = truth["roll"]["meter"]["bias_stops"];
  EXPECT_NEAR(bias.value.value(), true_bias, 0.25);
  EXPECT_LE(bias.low->value(), true_bias);
  EXPECT_GE(bias.high->value(), true_bias);
}

TEST_F(SampleRoll, the_slow_speed_that_sticks_is_named) {
  bool named = false;
  for (const meter::BiasEffect& effect : analysis.meter->effects) {
    const bool sure = *effect.stops.low > Stops(0) || *effect.stops.high < Stops(0);
    if (effect.factor != meter::BiasFactor::shutter || !sure) continue;
    EXPECT_EQ(effect.level, "1/15");
    EXPECT_GT(effect.stops.value, Stops(0));
    named = true;
  }
  EXPECT_TRUE(named);
}

}  // namespace
}  // namespace basefog::roll
