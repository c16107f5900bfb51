// SPDX-License-Identifier: GPL-3.0-or-later
#include "basefog/roll/roll_development.hpp"

#include <gtest/gtest.h>

#include "basefog/roll/analysis.hpp"

namespace basefog::roll {
namespace {

template <class Point>
reading::Answer<Point> answer(double value, double contrast_sigma) {
  reading::Answer<Point> one;
  one.estimate = from_stops<Point>(normal_estimate(Stops(value), Stops(0.3)));
  one.budget[reading::ErrorCause::contrast] = contrast_sigma;
  return one;
}

struct Roll {
  std::vector<FrameResult> frames;
  RollFilm film;
  Estimate<double> contrast;
  Aim aim;
};

std::optional<RollDevelopment> judged(const Roll& roll) {
  return judge_development(roll.frames, roll.film, roll.contrast, roll.aim);
}

/// A roll whose frames got `exposure` from the aim, shadows 3.1 stops below that (the speed point
/// is 3.34 below the aim [ISO6]), and a contrast that the readings found.
Roll roll_of(int frames, double exposure, double factor, double factor_sigma) {
  Roll roll;
  roll.film.profile = film::generic_black_and_white(FilmSpeed(100));
  roll.aim.film_speed = FilmSpeed(100);
  for (int i = 0; i < frames; ++i) {
    const double scatter = 0.2 * (i % 3 - 1);
    FrameResult frame;
    frame.state = density::FrameState::measured;
    frame.reading.emplace();
    frame.reading->exposure = answer<ExposureFromAim>(exposure + scatter, 0.3);
    frame.reading->shadow_reserve =
        answer<ExposureAboveSpeedPoint>(exposure + scatter + 3.34 - 3.1, 0.05);
    roll.frames.push_back(std::move(frame));
  }
  roll.contrast = {factor, factor * std::exp(-kNormal975 * factor_sigma),
                   factor * std::exp(kNormal975 * factor_sigma)};
  return roll;
}

// Thin shadows: under-exposed. Full shadows, weak highlights: under-developed (common practice).
TEST(RollDevelopment, tells_exposure_from_development) {
  const auto thin = judged(roll_of(24, -1.5, 1.0, 0.05));
  ASSERT_TRUE(thin);
  EXPECT_GT(thin->under_exposed, 0.9);
  EXPECT_LT(thin->under_developed, 0.2);
  const auto flat = judged(roll_of(24, 0.0, 0.75, 0.06));
  ASSERT_TRUE(flat);
  EXPECT_GT(flat->under_developed, 0.9);
  EXPECT_LT(flat->under_exposed, 0.2);
}

TEST(RollDevelopment, finds_nothing_likely_where_all_is_normal_and_nothing_sure_where_open) {
  const auto normal = judged(roll_of(24, 0.0, 1.0, 0.03));
  ASSERT_TRUE(normal);
  const auto open = judged(roll_of(24, 0.0, 0.93, 0.12));
  ASSERT_TRUE(open);
  for (const auto chance : {&RollDevelopment::under_exposed, &RollDevelopment::over_exposed,
                            &RollDevelopment::under_developed, &RollDevelopment::over_developed}) {
    EXPECT_LT(*normal.*chance, 0.15);
    EXPECT_LT(*open.*chance, 0.6);
  }
  EXPECT_GT(open->under_developed, 0.3);
}

// Base + fog of 35 mm film is 0.30 [KodakF4017]; half a density is fog. Without the bare light a
// scan does not know its base's true density, and nothing is said.
TEST(RollDevelopment, finds_a_known_base_foggy) {
  Roll roll = roll_of(24, 0.0, 1.0, 0.03);
  const auto set_base = [&](double density, bool known) {
    for (FrameResult& frame : roll.frames) {
      frame.measurement.light_known = known;
      frame.reference.density = {Density::from_value(density)};
    }
  };
  set_base(0.55, true);
  EXPECT_EQ(judged(roll)->high_fog, Density::from_value(0.55));
  set_base(0.55, false);
  EXPECT_FALSE(judged(roll)->high_fog);
  set_base(0.30, true);
  EXPECT_FALSE(judged(roll)->high_fog);
}

TEST(RollDevelopment, never_judges_a_frame_or_a_few) {
  EXPECT_FALSE(judged(roll_of(1, -3, 0.7, 0.01)));
  EXPECT_FALSE(judged(roll_of(kFewestForDevelopment - 1, -3, 0.7, 0.01)));
}

TEST(RollDevelopment, who_developed_is_read_from_what_was_written) {
  EXPECT_EQ(developed_by({}), DevelopedBy::unknown);
  EXPECT_EQ(developed_by({.developed = "lab, pushed"}), DevelopedBy::lab);
  EXPECT_EQ(developed_by({.developed = "9 min at 20 C"}), DevelopedBy::self);
}

}  // namespace
}  // namespace basefog::roll
