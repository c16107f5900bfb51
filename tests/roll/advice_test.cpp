// SPDX-License-Identifier: GPL-3.0-or-later
#include "basefog/roll/advice.hpp"

#include <gmock/gmock.h>
#include <gtest/gtest.h>

namespace basefog::roll {
namespace {

AdviceBasis basis_with(double bias, double half_width = 0.1) {
  AdviceBasis basis;
  basis.film.iso_speed = FilmSpeed(400);
  basis.film.contrast_source = film::ContrastSource::film_test;
  meter::MeterBias meter;
  meter.bias = StopsEstimate{Stops(bias), Stops(bias - half_width), Stops(bias + half_width)};
  meter.frames_used = 24;
  meter.rolls = 1;
  meter.scatter = 0.15;
  basis.meter = meter;
  return basis;
}

void add_effect(AdviceBasis& basis, meter::BiasFactor factor, const char* level, double stops,
                double half_width = 0.15, int frames = 5) {
  basis.meter->effects.push_back(
      {.factor = factor,
       .level = level,
       .stops = {Stops(stops), Stops(stops - half_width), Stops(stops + half_width)},
       .frames = frames});
}

template <class Facts>
std::optional<Facts> find(const AdviceBasis& basis) {
  for (const Advice& advice : advise(basis)) {
    if (const Facts* facts = std::get_if<Facts>(&advice)) return *facts;
  }
  return std::nullopt;
}

TEST(Advice, a_meter_a_stop_over_at_400_is_cured_by_800) {
  // Worked example of the source: the dial is set to twice the speed [JukolartMeters].
  const auto dial = find<DialIndex>(basis_with(1.0));
  ASSERT_TRUE(dial);
  EXPECT_EQ(dial->dialled, FilmSpeed(400));
  EXPECT_EQ(dial->index, FilmSpeed(800));
  EXPECT_EQ(dial->bias.frames, 24);
  EXPECT_NEAR(correction_of(*dial)->value(), -1, 1e-9);
}

TEST(Advice, the_index_is_the_nearest_third_and_in_the_right_direction) {
  const std::pair<double, double> cases[] = {{-1.0, 200},  {-0.667, 250}, {-0.333, 320},
                                             {0.333, 500}, {0.667, 640},  {1.333, 1000},
                                             {-2.0, 100},  {-0.55, 250}};
  for (const auto& [bias, index] : cases) {
    EXPECT_EQ(find<DialIndex>(basis_with(bias))->index, FilmSpeed(index)) << bias;
  }
}

TEST(Advice, the_index_is_one_that_the_camera_s_dial_has) {
  AdviceBasis basis = basis_with(-0.667);
  basis.camera = log::default_camera();
  basis.camera->film_speeds = {FilmSpeed(100), FilmSpeed(200), FilmSpeed(400)};
  EXPECT_EQ(find<DialIndex>(basis)->index, FilmSpeed(200));
}

// A sure bias that no mark of the dial cures is still told.
TEST(Advice, where_the_dial_has_no_nearer_mark_compensation_is_named) {
  AdviceBasis basis = basis_with(1.0);
  basis.camera = log::default_camera();
  basis.camera->film_speeds = {FilmSpeed(100), FilmSpeed(200), FilmSpeed(400)};
  const auto dial = find<DialCompensation>(basis);
  ASSERT_TRUE(dial);
  EXPECT_EQ(dial->dialled, FilmSpeed(400));
  EXPECT_NEAR(correction_of(*dial)->value(), -1, 1e-9);
  EXPECT_FALSE(find<NothingToChange>(basis));
}

TEST(Advice, nothing_to_change_when_that_is_the_truth) {
  AdviceBasis basis = basis_with(0.1);
  add_effect(basis, meter::BiasFactor::shutter, "1/30", 0.1);
  const auto nothing = find<NothingToChange>(basis);
  ASSERT_TRUE(nothing);
  EXPECT_EQ(nothing->bias.frames, 24);
  EXPECT_FALSE(nothing->could_hide);
  EXPECT_FALSE(find<Caution>(basis));
}

TEST(Advice, what_could_hide_is_given) {
  const AdviceBasis wide = basis_with(0.3, 1.2);
  const auto nothing = find<NothingToChange>(wide);
  ASSERT_TRUE(nothing);
  ASSERT_TRUE(nothing->could_hide);
  EXPECT_NEAR(nothing->could_hide->value(), 1.5, 1e-9);
  EXPECT_FALSE(find<DialIndex>(wide));
}

TEST(Advice, speeds_are_allowed_for_or_avoided) {
  AdviceBasis basis = basis_with(0);
  add_effect(basis, meter::BiasFactor::shutter, "1/15", 0.7);
  add_effect(basis, meter::BiasFactor::shutter, "1/4", 1.2);
  const auto allow = find<AllowForSpeed>(basis);
  ASSERT_TRUE(allow);
  EXPECT_EQ(allow->speed.level, "1/15");
  EXPECT_NEAR(correction_of(*allow)->value(), -2.0 / 3, 1e-9);
  EXPECT_EQ(find<AvoidSpeed>(basis)->speed.level, "1/4");
  EXPECT_FALSE(find<NothingToChange>(basis));
}

TEST(Advice, a_lens_or_a_stop_to_check) {
  AdviceBasis basis = basis_with(0);
  add_effect(basis, meter::BiasFactor::lens, "long", -0.6);
  add_effect(basis, meter::BiasFactor::aperture, "f/16", 0.5);
  EXPECT_EQ(find<CheckLens>(basis)->lens.level, "long");
  EXPECT_EQ(find<AllowForAperture>(basis)->aperture.level, "f/16");
}

TEST(Advice, a_slope_against_the_light_is_a_cell_or_a_battery) {
  AdviceBasis basis = basis_with(0);
  add_effect(basis, meter::BiasFactor::light_level, "per EV", 0.2, 0.05, 36);
  basis.camera = log::default_camera();
  basis.camera->battery = "alkaline";
  const auto check = find<CheckCell>(basis);
  ASSERT_TRUE(check);
  EXPECT_EQ(check->battery, "alkaline");
  EXPECT_NEAR(check->slope.stops.value.value(), 0.2, 1e-9);
  EXPECT_FALSE(correction_of(*check));
  EXPECT_FALSE(find<NothingToChange>(basis));
}

TEST(Advice, service_rather_than_correction) {
  EXPECT_FALSE(find<HaveServiced>(basis_with(1.0)));
  EXPECT_TRUE(find<HaveServiced>(basis_with(2.5))->camera_far_off);
  AdviceBasis sticky = basis_with(0);
  add_effect(sticky, meter::BiasFactor::shutter, "1 s", 1.8);
  EXPECT_TRUE(find<HaveServiced>(sticky)->speed_far_off);
  AdviceBasis many = basis_with(0);
  for (const char* level : {"1/8", "1/15", "1/30"})
    add_effect(many, meter::BiasFactor::shutter, level, 0.6);
  EXPECT_EQ(find<HaveServiced>(many)->speeds_off, 3);
  AdviceBasis erratic = basis_with(0);
  erratic.meter->scatter = 0.7;
  EXPECT_EQ(find<HaveServiced>(erratic)->scatter, 0.7);
}

TEST(Advice, corrections_carry_their_caution) {
  AdviceBasis basis = basis_with(1.0);
  EXPECT_FALSE(find<Caution>(basis)->film_speed_measured);
  basis.film.speed_measured = true;
  EXPECT_TRUE(find<Caution>(basis)->film_speed_measured);
}

TEST(Advice, scenes_that_need_more_are_given_with_what_was_dialled) {
  AdviceBasis basis = basis_with(0);
  basis.techniques = {{.scene = "backlit",
                       .stops = {Stops(1.35), Stops(0.8), Stops(1.9)},
                       .asked = Stops(0),
                       .frames = 5,
                       .agreeing = 4},
                      {.scene = "snow",
                       .stops = {Stops(1.6), Stops(1.2), Stops(2.0)},
                       .asked = Stops(1.5),
                       .frames = 4,
                       .agreeing = 4},
                      {.scene = "two only",
                       .stops = {Stops(1.6), Stops(1.2), Stops(2.0)},
                       .asked = Stops(0),
                       .frames = 2,
                       .agreeing = 2},
                      {.scene = "at odds",
                       .stops = {Stops(1.6), Stops(1.2), Stops(2.0)},
                       .asked = Stops(0),
                       .frames = 6,
                       .agreeing = 3},
                      {.scene = "street",
                       .stops = {Stops(0.4), Stops(-0.1), Stops(0.9)},
                       .asked = Stops(0),
                       .frames = 9,
                       .agreeing = 7}};
  std::vector<std::pair<std::string, bool>> scenes;
  for (const Advice& advice : advise(basis)) {
    if (const auto* one = std::get_if<MeterScene>(&advice)) {
      scenes.emplace_back(one->technique.scene, one->already_done);
    }
  }
  EXPECT_THAT(scenes, ::testing::ElementsAre(std::pair("backlit", false), std::pair("snow", true)));
}

TEST(Advice, what_to_test_next_names_the_level_and_the_frames) {
  AdviceBasis basis = basis_with(0);
  add_effect(basis, meter::BiasFactor::shutter, "1/500", 0.4, 0.5, 2);
  basis.meter->effects.back().frames_to_settle = 3;
  const auto test = find<TestLevel>(basis);
  ASSERT_TRUE(test);
  EXPECT_EQ(test->level.level, "1/500");
  EXPECT_EQ(test->frames, 3);
}

TEST(Advice, a_bias_that_is_not_sure_yet_is_tested) {
  const auto test = find<TestBias>(basis_with(-0.6, 0.65));
  ASSERT_TRUE(test);
  EXPECT_EQ(test->dialled, FilmSpeed(400));
  EXPECT_EQ(test->index, FilmSpeed(250));
  // Beyond the middle of 0 and -2/3, 0.27 above -0.6, lies 0.79 of a normal of sigma 0.65/1.96.
  EXPECT_NEAR(test->chance, 0.79, 0.005);
  EXPECT_FALSE(find<TestBias>(basis_with(-0.2, 0.3)));
}

}  // namespace
}  // namespace basefog::roll
