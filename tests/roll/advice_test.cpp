// SPDX-License-Identifier: GPL-3.0-or-later
#include "basefog/roll/advice.hpp"

#include <gmock/gmock.h>
#include <gtest/gtest.h>

namespace basefog::roll {
namespace {

using ::testing::HasSubstr;

AdviceBasis basis_with(double bias, double half_width = 0.1) {
  AdviceBasis basis;
  basis.film.iso_speed = FilmSpeed(400);
  basis.film.contrast_source = "film test";
  meter::MeterBias meter;
  meter.bias = StopsEstimate{Stops(bias), Stops(bias - half_width), Stops(bias + half_width)};
  meter.frames_used = 24;
  meter.rolls = 1;
  meter.scatter = 0.15;
  basis.meter = meter;
  return basis;
}

void add_effect(AdviceBasis& basis, const char* factor, const char* level, double stops,
                double half_width = 0.15, int frames = 5) {
  basis.meter->effects.push_back(
      {.factor = factor,
       .level = level,
       .stops = {Stops(stops), Stops(stops - half_width), Stops(stops + half_width)},
       .frames = frames});
}

std::optional<Advice> find(const AdviceBasis& basis, AdviceKind kind) {
  for (const Advice& advice : advise(basis)) {
    if (advice.kind == kind) return advice;
  }
  return std::nullopt;
}

TEST(Advice, a_meter_a_stop_over_at_400_is_cured_by_800) {
  // Worked example of the source: the dial is set to twice the speed [JukolartMeters].
  const auto dial = find(basis_with(1.0), AdviceKind::dial_exposure_index);
  ASSERT_TRUE(dial);
  EXPECT_EQ(dial->set, "EI 800");
  EXPECT_NEAR(dial->stops->value(), -1, 1e-9);
  EXPECT_THAT(dial->text, HasSubstr("1.0 stop too much"));
}

TEST(Advice, the_index_is_the_nearest_third_and_in_the_right_direction) {
  const std::pair<double, const char*> cases[] = {
      {-1.0, "EI 200"},  {-0.667, "EI 250"}, {-0.333, "EI 320"}, {0.333, "EI 500"},
      {0.667, "EI 640"}, {1.333, "EI 1000"}, {-2.0, "EI 100"},   {-0.55, "EI 250"}};
  for (const auto& [bias, index] : cases) {
    EXPECT_EQ(find(basis_with(bias), AdviceKind::dial_exposure_index)->set, index) << bias;
  }
}

TEST(Advice, the_index_is_one_that_the_camera_s_dial_has) {
  AdviceBasis basis = basis_with(-0.667);
  basis.camera = log::default_camera();
  basis.camera->film_speeds = {FilmSpeed(100), FilmSpeed(200), FilmSpeed(400)};
  EXPECT_EQ(find(basis, AdviceKind::dial_exposure_index)->set, "EI 200");
}

// A sure bias that no mark of the dial cures is still told.
TEST(Advice, where_the_dial_has_no_nearer_mark_compensation_is_named) {
  AdviceBasis basis = basis_with(1.0);
  basis.camera = log::default_camera();
  basis.camera->film_speeds = {FilmSpeed(100), FilmSpeed(200), FilmSpeed(400)};
  const auto dial = find(basis, AdviceKind::dial_exposure_index);
  ASSERT_TRUE(dial);
  EXPECT_EQ(dial->set, "compensation -1");
  EXPECT_NEAR(dial->stops->value(), -1, 1e-9);
  EXPECT_THAT(dial->text, HasSubstr("Leave the dial at 400"));
  EXPECT_FALSE(find(basis, AdviceKind::nothing_to_change));
}

TEST(Advice, nothing_to_change_when_that_is_the_truth) {
  AdviceBasis basis = basis_with(0.1);
  add_effect(basis, "shutter", "1/30", 0.1);
  const auto nothing = find(basis, AdviceKind::nothing_to_change);
  ASSERT_TRUE(nothing);
  EXPECT_THAT(nothing->evidence, HasSubstr("24 frames"));
  EXPECT_FALSE(find(basis, AdviceKind::caution));
}

TEST(Advice, what_could_hide_is_said) {
  const AdviceBasis wide = basis_with(0.3, 1.2);
  const auto nothing = find(wide, AdviceKind::nothing_to_change);
  ASSERT_TRUE(nothing);
  EXPECT_THAT(nothing->text, HasSubstr("of up to 1.5 stops could hide"));
  EXPECT_FALSE(find(wide, AdviceKind::dial_exposure_index));
}

TEST(Advice, speeds_are_allowed_for_or_avoided) {
  AdviceBasis basis = basis_with(0);
  add_effect(basis, "shutter", "1/15", 0.7);
  add_effect(basis, "shutter", "1/4", 1.2);
  const auto allow = find(basis, AdviceKind::allow_for_speed);
  ASSERT_TRUE(allow);
  EXPECT_EQ(allow->set, "1/15");
  EXPECT_NEAR(allow->stops->value(), -2.0 / 3, 1e-9);
  EXPECT_EQ(find(basis, AdviceKind::avoid_speed)->set, "1/4");
  EXPECT_FALSE(find(basis, AdviceKind::nothing_to_change));
}

TEST(Advice, a_lens_or_a_stop_to_check) {
  AdviceBasis basis = basis_with(0);
  add_effect(basis, "lens", "long", -0.6);
  add_effect(basis, "aperture", "f/16", 0.5);
  EXPECT_EQ(find(basis, AdviceKind::check_lens)->set, "long");
  EXPECT_EQ(find(basis, AdviceKind::allow_for_aperture)->set, "f/16");
}

TEST(Advice, a_slope_against_the_light_is_a_cell_or_a_battery) {
  AdviceBasis basis = basis_with(0);
  add_effect(basis, "light_level", "per EV", 0.2, 0.05, 36);
  basis.camera = log::default_camera();
  basis.camera->battery = "alkaline";
  const auto check = find(basis, AdviceKind::check_meter);
  ASSERT_TRUE(check);
  EXPECT_THAT(check->text, HasSubstr("alkaline"));
  EXPECT_FALSE(find(basis, AdviceKind::nothing_to_change));
}

TEST(Advice, service_rather_than_correction) {
  EXPECT_FALSE(find(basis_with(1.0), AdviceKind::service));
  EXPECT_TRUE(find(basis_with(2.5), AdviceKind::service));
  AdviceBasis sticky = basis_with(0);
  add_effect(sticky, "shutter", "1 s", 1.8);
  EXPECT_TRUE(find(sticky, AdviceKind::service));
  AdviceBasis many = basis_with(0);
  for (const char* level : {"1/8", "1/15", "1/30"}) add_effect(many, "shutter", level, 0.6);
  EXPECT_TRUE(find(many, AdviceKind::service));
}

TEST(Advice, corrections_carry_their_caution) {
  const auto caution = find(basis_with(1.0), AdviceKind::caution);
  ASSERT_TRUE(caution);
  EXPECT_THAT(caution->text, HasSubstr("this film, development and scanner"));
  EXPECT_THAT(caution->text, HasSubstr("up to a third of a stop"));
  EXPECT_THAT(caution->text, HasSubstr("film's true speed"));
}

TEST(Advice, scenes_that_need_more_are_told_with_what_was_dialled) {
  AdviceBasis basis = basis_with(0);
  basis.techniques = {{.scene = "backlit",
                       .stops = {Stops(1.35), Stops(0.8), Stops(1.9)},
                       .asked = Stops(0),
                       .frames = 5},
                      {.scene = "snow",
                       .stops = {Stops(1.6), Stops(1.2), Stops(2.0)},
                       .asked = Stops(1.5),
                       .frames = 4},
                      {.scene = "street",
                       .stops = {Stops(0.4), Stops(-0.1), Stops(0.9)},
                       .asked = Stops(0),
                       .frames = 9}};
  std::vector<std::string> texts;
  for (const Advice& advice : advise(basis)) {
    if (advice.kind == AdviceKind::metering) texts.push_back(advice.text);
  }
  EXPECT_THAT(texts, ::testing::ElementsAre(HasSubstr("Dial +1 1/3 beyond the meter for backlit"),
                                            HasSubstr("Go on dialling +1 2/3 for snow")));
}

TEST(Advice, what_to_test_next_names_the_level_and_the_frames) {
  AdviceBasis basis = basis_with(0);
  add_effect(basis, "shutter", "1/500", 0.4, 0.5, 2);
  basis.meter->effects.back().frames_to_settle = 3;
  const auto test = find(basis, AdviceKind::test_next);
  ASSERT_TRUE(test);
  EXPECT_THAT(test->text, HasSubstr("3 more frames at 1/500 would settle"));
}

TEST(Advice, a_bias_that_is_not_sure_yet_is_said_to_be_so) {
  const auto test = find(basis_with(-0.6, 0.65), AdviceKind::test_next);
  ASSERT_TRUE(test);
  EXPECT_THAT(test->text, HasSubstr("may give 0.6 stop too little"));
  // Beyond the middle of 0 and -2/3, 0.27 above -0.6, lies 0.79 of a normal of sigma 0.65/1.96.
  EXPECT_THAT(test->text,
              HasSubstr("with a chance of 79 % 250 on the dial is a better guess than 400"));
  EXPECT_FALSE(find(basis_with(-0.2, 0.3), AdviceKind::test_next));
}

}  // namespace
}  // namespace basefog::roll
