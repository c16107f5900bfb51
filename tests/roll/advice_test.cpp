// SPDX-License-Identifier: GPL-3.0-or-later
#include "basefog/roll/advice.hpp"

#include <gmock/gmock.h>
#include <gtest/gtest.h>

namespace basefog::roll {
namespace {

using ::testing::SizeIs;

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

TEST(Advice, a_roll_of_positives_says_that_and_nothing_else) {
  AdviceBasis basis = basis_with(2.5);
  basis.film.contrast_source = film::ContrastSource::generic;
  basis.scans = {.frames = 12, .positive = 12};
  const std::vector<Advice> advice = advise(basis);
  ASSERT_THAT(advice, SizeIs(1));
  EXPECT_EQ(std::get<ScanAgain>(advice[0]).fault, ScanFault::positive);
  EXPECT_TRUE(blocks(advice[0]));
}

TEST(Advice, half_of_the_scans_hold_everything_up_and_fewer_do_not) {
  AdviceBasis basis = basis_with(2.5);
  basis.scans = {.frames = 12, .without_zero = 6};
  EXPECT_THAT(advise(basis), SizeIs(1));
  basis.scans.without_zero = 5;
  EXPECT_TRUE(find<HaveServiced>(basis));
  EXPECT_EQ(find<ScanAgain>(basis)->faulty, 5);
  basis.scans = {.frames = 12, .clipped_base = 7};
  EXPECT_EQ(find<ScanAgain>(basis)->fault, ScanFault::clipped_base);
  EXPECT_FALSE(find<HaveServiced>(basis));
}

TEST(Advice, a_question_comes_first_and_silences_the_rest) {
  AdviceBasis basis = basis_with(2.5);
  basis.open = {QuestionAbout::log};
  const std::vector<Advice> advice = advise(basis);
  ASSERT_THAT(advice, SizeIs(1));
  EXPECT_EQ(std::get<AnswerFirst>(advice[0]).about, QuestionAbout::log);
}

TEST(Advice, a_lens_or_a_stop_to_check) {
  AdviceBasis basis = basis_with(0);
  add_effect(basis, meter::BiasFactor::lens, "long", -0.6);
  add_effect(basis, meter::BiasFactor::aperture, "f/16", 0.5);
  EXPECT_EQ(find<CheckLens>(basis)->lens.level, "long");
  EXPECT_EQ(find<CheckAperture>(basis)->aperture.level, "f/16");
}

TEST(Advice, a_slope_against_the_light_is_a_cell_or_a_battery) {
  AdviceBasis basis = basis_with(0);
  add_effect(basis, meter::BiasFactor::light_level, "per EV", 0.2, 0.05, 36);
  basis.battery = "alkaline";
  const auto check = find<CheckCell>(basis);
  ASSERT_TRUE(check);
  EXPECT_EQ(check->battery, "alkaline");
  EXPECT_NEAR(check->slope.stops.value.value(), 0.2, 1e-9);
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

TEST(Advice, a_plan_that_changes_something_carries_its_caution) {
  AdviceBasis basis = basis_with(1.0);
  EXPECT_FALSE(find<Caution>(basis));
  basis.next_roll = plan::NextRoll{.state = plan::PlanState::not_known};
  EXPECT_FALSE(find<Caution>(basis));
  basis.next_roll->state = plan::PlanState::change;
  EXPECT_FALSE(find<Caution>(basis)->film_speed_measured);
  basis.film.speed_measured = true;
  EXPECT_TRUE(find<Caution>(basis)->film_speed_measured);
}

TEST(Advice, what_to_test_next_names_the_level_and_the_frames) {
  AdviceBasis basis = basis_with(0);
  add_effect(basis, meter::BiasFactor::shutter, "1/500", 0.4, 0.5, 2);
  basis.meter->effects.back().frames_to_settle = 3;
  const auto test = find<TestLevel>(basis);
  ASSERT_TRUE(test);
  EXPECT_EQ(test->level.level, "1/500");
  EXPECT_EQ(test->frames, 3);
  basis.next_roll =
      plan::NextRoll{.state = plan::PlanState::change,
                     .add = {{plan::AllowanceFor::shutter, "1/500", Stops(-1.0 / 3)}}};
  EXPECT_FALSE(find<TestLevel>(basis)) << "what is planned for is not doubted in the next sentence";
}

}  // namespace
}  // namespace basefog::roll
