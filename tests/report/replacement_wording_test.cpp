// SPDX-License-Identifier: GPL-3.0-or-later
#include "basefog/report/replacement_wording.hpp"

#include <gtest/gtest.h>

namespace basefog::report {
namespace {

log::Replacement replacement(double denominator, double n) {
  log::Replacement one;
  one.settings.shutter = ShutterTime(1 / denominator);
  one.settings.aperture = FNumber(n);
  return one;
}

TEST(ReplacementWording, marks_alone_where_nothing_is_lost) {
  EXPECT_EQ(replacement_text(replacement(500, 8)), "1/500 f/8.");
}

TEST(ReplacementWording, compensation_as_its_dial_is_marked) {
  log::Replacement one = replacement(125, 8);
  one.compensation = log::DialledCompensation{.stops = Stops(4.0 / 3), .step = Stops(1.0 / 3)};
  EXPECT_EQ(replacement_text(one), "compensation +1 1/3 (about 1/125 f/8).");
  one.compensation = log::DialledCompensation{.stops = Stops(1.5), .step = Stops(0.5)};
  EXPECT_EQ(replacement_text(one), "compensation +1.5 (about 1/125 f/8).");
  one.compensation->beyond_dial = true;
  EXPECT_EQ(replacement_text(one), "1/125 f/8 by hand, +1.5 being beyond the compensation dial.");
  // With both changed the camera cannot be left to set the exposure.
  one.changed = log::SettingChanged::both;
  EXPECT_EQ(replacement_text(one), "1/125 f/8.");
}

TEST(ReplacementWording, each_cost_is_said) {
  log::Replacement one = replacement(15, 4);
  one.settings.off = Stops(-0.3);
  one.settings.blur = 4;
  one.settings.depth_of_field = 0.5;
  one.settings.hand_hold_limit = ShutterTime(1.0 / 60);
  one.settings.below_hand_hold = true;
  EXPECT_EQ(replacement_text(one),
            "1/15 f/4: 0.3 stop less than wanted; on a tripod, beyond the 1/60 that hands hold; "
            "movement smears 4 times as far; depth of field about 50 % of before.");
  one = replacement(60, 4);
  one.settings.off = Stops(0.1);
  one.settings.blur = 1.1;
  one.settings.depth_of_field = 0.95;
  EXPECT_EQ(replacement_text(one), "1/60 f/4.");
}

TEST(ReplacementWording, the_options_or_why_there_are_none) {
  EXPECT_TRUE(replacement_texts({}).empty());
  EXPECT_EQ(replacement_texts({.options = {replacement(500, 8)}, .none = {}}),
            std::vector<std::string>{"1/500 f/8."});
  EXPECT_EQ(replacement_texts({.options = {}, .none = log::NoReplacement::too_dark_with_bulb}),
            std::vector<std::string>{"No marked time and stop give that much exposure: use B and a "
                                     "watch, or faster film."});
}

}  // namespace
}  // namespace basefog::report
