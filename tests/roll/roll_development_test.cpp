// SPDX-License-Identifier: GPL-3.0-or-later
#include "basefog/roll/roll_development.hpp"

#include <gtest/gtest.h>

#include "basefog/roll/analysis.hpp"

namespace basefog::roll {
namespace {

reading::Answer answer(double value, double contrast_sigma) {
  reading::Answer one;
  one.estimate = normal_estimate(Stops(value), Stops(0.3));
  one.budget[static_cast<std::size_t>(reading::ErrorCause::contrast)] = contrast_sigma;
  return one;
}

struct Roll {
  std::vector<FrameResult> frames;
  RollFilm film;
  Aim aim;
};

std::optional<RollDevelopment> judged(const Roll& roll) {
  return judge_development(roll.frames, roll.film, roll.aim);
}

/// A roll whose frames got `exposure` from the aim, shadows 3.1 stops below that (the speed point
/// is 3.34 below the aim [ISO6]), and a contrast that the ranges found.
Roll roll_of(int frames, double exposure, double factor, double factor_sigma) {
  Roll roll;
  roll.film.profile = film::generic_black_and_white(FilmSpeed(100));
  roll.aim.film_speed = FilmSpeed(100);
  for (int i = 0; i < frames; ++i) {
    const double scatter = 0.2 * (i % 3 - 1);
    FrameResult frame;
    frame.state = density::FrameState::measured;
    frame.reading.emplace();
    frame.reading->exposure = answer(exposure + scatter, 0.3);
    frame.reading->shadow_reserve = answer(exposure + scatter + 3.34 - 3.1, 0.05);
    roll.frames.push_back(std::move(frame));
  }
  roll.film.scene_ranges.emplace();
  roll.film.scene_ranges->factor = {factor, factor * std::exp(-kNormal975 * factor_sigma),
                                    factor * std::exp(kNormal975 * factor_sigma)};
  return roll;
}

// Thin shadows: under-exposed. Full shadows, weak highlights: under-developed (common practice).
TEST(RollDevelopment, tells_exposure_from_development) {
  const auto thin = judged(roll_of(24, -1.5, 1.0, 0.05));
  ASSERT_TRUE(thin);
  EXPECT_GT(thin->under_exposed, 0.9);
  EXPECT_LT(thin->under_developed, 0.2);
  EXPECT_NE(thin->text.find("under-exposed"), std::string::npos);
  const auto flat = judged(roll_of(24, 0.0, 0.75, 0.06));
  ASSERT_TRUE(flat);
  EXPECT_GT(flat->under_developed, 0.9);
  EXPECT_LT(flat->under_exposed, 0.2);
  EXPECT_NE(flat->text.find("under-developed"), std::string::npos);
}

TEST(RollDevelopment, says_so_where_all_is_normal_or_nothing_can_be_told) {
  const auto normal = judged(roll_of(24, 0.0, 1.0, 0.03));
  ASSERT_TRUE(normal);
  EXPECT_NE(normal->text.find("look normal"), std::string::npos);
  const auto unknown = judged(roll_of(24, 0.0, 0.93, 0.12));
  ASSERT_TRUE(unknown);
  EXPECT_NE(unknown->text.find("cannot be told"), std::string::npos);
}

// Base + fog of 35 mm film is 0.30 [KodakF4017]; half a density is fog. Without the bare light a
// scan does not know its base's true density, and nothing is said.
TEST(RollDevelopment, says_that_a_known_base_is_foggy) {
  Roll roll = roll_of(24, 0.0, 1.0, 0.03);
  const auto set_base = [&](double density, bool known) {
    for (FrameResult& frame : roll.frames) {
      frame.measurement.light_known = known;
      frame.reference.density = {Density::from_value(density)};
    }
  };
  set_base(0.55, true);
  EXPECT_NE(judged(roll)->text.find("fog of 0.55 is high"), std::string::npos);
  set_base(0.55, false);
  EXPECT_EQ(judged(roll)->text.find("fog"), std::string::npos);
  set_base(0.30, true);
  EXPECT_EQ(judged(roll)->text.find("fog"), std::string::npos);
}

TEST(RollDevelopment, never_judges_a_frame_or_a_few) {
  EXPECT_FALSE(judged(roll_of(1, -3, 0.7, 0.01)));
  EXPECT_FALSE(judged(roll_of(kFewestForDevelopment - 1, -3, 0.7, 0.01)));
}

}  // namespace
}  // namespace basefog::roll
