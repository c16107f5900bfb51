// SPDX-License-Identifier: GPL-3.0-or-later
// A small run of the studies of film tests and brackets, on seeds of its own. The figures that
// count come from the program film_studies.
#include <gtest/gtest.h>

#include <cmath>

#include "test_folder.hpp"
#include "validation/bracket_study.hpp"
#include "validation/grey_card_study.hpp"

namespace validation {
namespace {

// Nine steps with grain and scanner noise: 0.05 stop in speed, 2 % in contrast.
TEST(FilmTestStudy, nine_frames_give_speed_and_contrast) {
  const auto outcomes =
      run({.rolls = 1, .seed = 31337, .trusted = true}, basefog::test::test_folder() / "card");
  for (const GreyCardOutcome& outcome : outcomes) {
    ASSERT_EQ(outcome.failure, "");
    EXPECT_EQ(outcome.steps, 9);
    EXPECT_NEAR(outcome.speed_error, 0, 0.05);
    EXPECT_TRUE(outcome.speed_held);
    EXPECT_NEAR(outcome.contrast_error.at(0), 0, 0.02);
    EXPECT_TRUE(outcome.contrast_held.at(0));
  }
}

TEST(BracketStudy, one_bracket_on_a_roll_gives_its_contrast) {
  const auto outcomes = run(BracketStudy{.rolls = 1, .seed = 31337, .others = 1},
                            basefog::test::test_folder() / "bracket");
  for (const BracketOutcome& outcome : outcomes) {
    ASSERT_TRUE(outcome.found);
    EXPECT_EQ(outcome.series, 1);
    EXPECT_EQ(outcome.left_out, 0);
    EXPECT_NEAR(outcome.factor / outcome.truth, 1, 0.06);
    EXPECT_LE(outcome.low, outcome.truth);
    EXPECT_GE(outcome.high, outcome.truth);
  }
}

TEST(BracketStudy, one_bracket_on_colour_film_gives_its_contrast) {
  const auto outcomes = run(BracketStudy{.rolls = 1, .seed = 31337, .others = 1, .colour = true},
                            basefog::test::test_folder() / "colour");
  ASSERT_TRUE(outcomes.front().found);
  EXPECT_NEAR(outcomes.front().factor / outcomes.front().truth, 1, 0.04);
  EXPECT_LE(outcomes.front().low, outcomes.front().truth);
  EXPECT_GE(outcomes.front().high, outcomes.front().truth);
}

BracketOutcome in_trouble(Trouble trouble) {
  return run(BracketStudy{.rolls = 1, .seed = 31337, .others = 1, .trouble = trouble},
             basefog::test::test_folder() / "trouble")
      .front();
}

void expect_told(const BracketOutcome& outcome) {
  EXPECT_EQ(outcome.left_out, 1);
  ASSERT_TRUE(outcome.found);
  EXPECT_NEAR(outcome.factor / outcome.truth, 1, 0.10);  // two frames are left
  EXPECT_LE(outcome.low, outcome.truth);
  EXPECT_GE(outcome.high, outcome.truth);
}

TEST(BracketStudy, frame_in_other_light_is_left_out) {
  expect_told(in_trouble(Trouble::changed_light));
}

TEST(BracketStudy, frame_whose_row_is_wrong_is_left_out) {
  expect_told(in_trouble(Trouble::wrong_row));
}

TEST(BracketStudy, place_where_somebody_came_in_counts_little) {
  const BracketOutcome outcome = in_trouble(Trouble::moved_subject);
  ASSERT_TRUE(outcome.found);
  EXPECT_EQ(outcome.left_out, 0);
  EXPECT_NEAR(outcome.factor / outcome.truth, 1, 0.06);
  EXPECT_LE(outcome.low, outcome.truth);
  EXPECT_GE(outcome.high, outcome.truth);
}

}  // namespace
}  // namespace validation
