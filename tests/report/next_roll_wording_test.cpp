// SPDX-License-Identifier: GPL-3.0-or-later
#include "basefog/report/next_roll_wording.hpp"

#include <gmock/gmock.h>
#include <gtest/gtest.h>

namespace basefog::report {
namespace {

using ::testing::HasSubstr;
using ::testing::IsEmpty;

plan::NextRoll plan_at(double index) {
  return {.state = plan::PlanState::change,
          .dialled = FilmSpeed(400),
          .dial = {FilmSpeed(index), FilmSpeed(index), Stops(0)},
          .expected_error = {.before = 0.7, .after = 0.4},
          .chance_better = 0.873,
          .bias = {Stops(-0.6), Stops(-1.0), Stops(-0.2)},
          .frames = 22};
}

std::string said(const plan::NextRoll& plan) {
  std::string text;
  for (const AdviceWords& words : plan_words(plan)) text += words.text() + "|";
  return text;
}

TEST(NextRollWording, dial_then_what_to_add_in_all) {
  plan::NextRoll plan = plan_at(250);
  const StopsEstimate seen{Stops(0.7), Stops(0.4), Stops(1.0)};
  plan.add = {{plan::AllowanceFor::shutter, "1/15", Stops(-2.0 / 3), seen, 5},
              {plan::AllowanceFor::lens, "long", Stops(1.0 / 3), seen, 4},
              {plan::AllowanceFor::scene, "snow", Stops(4.0 / 3), seen, 3}};
  EXPECT_EQ(said(plan),
            "Set the dial to 250 instead of 400.|At 1/15 give 2/3 stop less than the meter then "
            "says.|With the lens "
            "long give 1/3 stop more than the meter then says.|For snow give 1 1/3 stops more than "
            "the meter then says.|");
  EXPECT_EQ(plan_words(plan)[0].evidence, "the camera gave -0.6 (-1.0 to -0.2) over 22 frames");
  EXPECT_EQ(promise_text(plan),
            "With a chance of 87 % that does better than before on this film and development: a "
            "frame is then off by 0.4 stop on average instead of 0.7.");
}

TEST(NextRollWording, every_line_says_why) {
  plan::NextRoll plan = plan_at(250);
  const StopsEstimate seen{Stops(0.7), Stops(0.4), Stops(1.0)};
  plan.add = {{plan::AllowanceFor::shutter, "1/15", Stops(-2.0 / 3), seen, 5},
              {plan::AllowanceFor::lens, "long", Stops(-2.0 / 3), seen, 4},
              {plan::AllowanceFor::scene, "snow", Stops(2.0 / 3), seen, 3}};
  const std::vector<AdviceWords> words = plan_words(plan);
  ASSERT_EQ(words.size(), 4U);
  EXPECT_EQ(words[1].evidence,
            "1/15 gives +0.1 in all, +0.7 (+0.4 to +1.0) against the other speeds");
  EXPECT_EQ(words[2].evidence,
            "the lens long gives +0.1 in all, +0.7 (+0.4 to +1.0) against the others");
  EXPECT_EQ(words[3].evidence, "snow needed +0.7 (+0.4 to +1.0) beyond a true meter");
}

TEST(NextRollWording, keeping_the_dial_says_why) {
  plan::NextRoll plan = plan_at(400);
  plan.add = {{plan::AllowanceFor::shutter, "1/15", Stops(-2.0 / 3)}};
  EXPECT_EQ(said(plan),
            "Leave the dial at 400.|At 1/15 give 2/3 stop less than the meter then says.|");
  plan.add.clear();
  plan.state = plan::PlanState::not_known;
  EXPECT_EQ(said(plan),
            "Keep the dial at 400, with no allowance: the camera's error is not known well enough "
            "to change anything.|");
  plan.state = plan::PlanState::as_asked;
  EXPECT_THAT(said(plan), HasSubstr("gives what is asked of it to within a third of a stop"));
  EXPECT_EQ(promise_text(plan), "");
  plan.state = plan::PlanState::held_up;
  EXPECT_THAT(plan_words(plan), IsEmpty());
}

TEST(NextRollWording, compensation_where_the_dial_has_no_mark) {
  plan::NextRoll plan = plan_at(250);
  plan.dial.mark = FilmSpeed(200);
  plan.dial.compensation = Stops(-1.0 / 3);
  EXPECT_EQ(said(plan), "Set the dial to 200 and compensation -1/3, as for a film of 250.|");
}

TEST(NextRollWording, the_plan_stands_before_advice) {
  plan::NextRoll plan = plan_at(250);
  plan.add = {{plan::AllowanceFor::shutter,
               "1/15",
               Stops(-2.0 / 3),
               {Stops(0.7), Stops(0.4), Stops(1.0)},
               5}};
  const std::vector<std::string> all = next_time_sentences(plan, {roll::TestContrast{0.1}});
  ASSERT_EQ(all.size(), 3U);
  EXPECT_EQ(all[0],
            "Set the dial to 250 instead of 400. At 1/15 give 2/3 stop less than the meter then "
            "says. [1/15 gives +0.1 in all, +0.7 (+0.4 to +1.0) against the other speeds]");
}

}  // namespace
}  // namespace basefog::report
