// SPDX-License-Identifier: GPL-3.0-or-later
#include "basefog/plan/next_roll.hpp"

#include <gmock/gmock.h>
#include <gtest/gtest.h>

#include <cmath>
#include <random>

#include "core/thirds.hpp"
#include "plan/plan_search.hpp"

namespace basefog::plan {
namespace {

using ::testing::AllOf;
using ::testing::ElementsAre;
using ::testing::Field;
using ::testing::IsEmpty;

struct Level {
  const char* mark;
  double seconds;
  double stops;
  double sigma;
  int frames;
};

/// A roll on measured film whose posterior is written down: bias and speeds independent of each
/// other.
struct Written {
  NextRollBasis basis;
  std::vector<meter::DeviationSample> frames;

  Written(double bias, double sigma, const std::vector<Level>& levels = {}, int others = 12) {
    basis.dialled = FilmSpeed(400);
    meter::MeterBias& meter = basis.meter;
    meter.bias = normal_estimate(Stops(bias), Stops(sigma));
    const std::size_t n = 1 + levels.size();
    meter.covariance.assign(n * n, 0.0);
    meter.covariance[0] = sigma * sigma;
    for (std::size_t i = 0; i < levels.size(); ++i) {
      meter.effects.push_back(
          {.factor = meter::BiasFactor::shutter,
           .level = levels[i].mark,
           .stops = normal_estimate(Stops(levels[i].stops), Stops(levels[i].sigma)),
           .frames = levels[i].frames});
      meter.covariance[(i + 1) * n + i + 1] = levels[i].sigma * levels[i].sigma;
      for (int k = 0; k < levels[i].frames; ++k) {
        frames.push_back({.film_speed_sigma = 0.05, .shutter = ShutterTime(levels[i].seconds)});
      }
    }
    for (int k = 0; k < others; ++k) {
      frames.push_back({.film_speed_sigma = 0.05, .shutter = ShutterTime(1.0 / 1000)});
    }
    meter.frames_used = static_cast<int>(frames.size());
  }

  NextRoll plan() {
    basis.frames = frames;
    return *plan_next_roll(basis);
  }
};

/// A line of the plan, whatever it was learned from.
auto line(AllowanceFor what, const std::string& level, int thirds) {
  return AllOf(Field(&Allowance::what, what), Field(&Allowance::level, level),
               Field(&Allowance::stops, Stops(thirds * kThird)));
}

auto at(const char* speed, int thirds) { return line(AllowanceFor::shutter, speed, thirds); }

TEST(NextRoll, needs_a_bias) {
  NextRollBasis basis;
  EXPECT_FALSE(plan_next_roll(basis));
}

// A meter that over-exposes by a stop at 400 wants 800 [JukolartMeters]; other rows from the rule
// that half the speed is a stop more.
TEST(NextRoll, a_sure_bias_goes_to_the_dial_in_the_right_direction) {
  const std::pair<double, double> cases[] = {{1.0, 800},      {-1.0, 200}, {-2.0 / 3, 250},
                                             {-0.34, 320},    {0.34, 500}, {2.0 / 3, 640},
                                             {4.0 / 3, 1000}, {-2.0, 100}};
  for (const auto& [bias, index] : cases) {
    const NextRoll plan = Written(bias, 0.03).plan();
    EXPECT_EQ(plan.state, PlanState::change) << bias;
    EXPECT_EQ(plan.dial.index, FilmSpeed(index)) << bias;
    EXPECT_THAT(plan.add, IsEmpty()) << bias;
    // Half of what was changed would have to come from the next roll's own batch and development.
    const double batches = std::abs(bias) / 2 / std::hypot(std::sqrt(2.0) * 0.1, 0.05);
    EXPECT_NEAR(plan.chance_better, 0.5 * std::erfc(-batches / std::sqrt(2.0)), 0.02) << bias;
  }
}

// Worked by hand. A camera 0.6 under whose 1/15 is 0.6 over: its frames at 1/15 are right as they
// are, so that a dial two thirds lower wants them two thirds back, in all.
TEST(NextRoll, dial_and_speed_are_decided_together) {
  Written roll(-0.65, 0.04, {{"1/15", 1 / 15.0, 0.65, 0.05, 6}}, 18);
  const NextRoll plan = roll.plan();
  EXPECT_EQ(plan.dial.index, FilmSpeed(250));
  EXPECT_THAT(plan.add, ElementsAre(at("1/15", -2)));
  EXPECT_EQ(plan.add[0].seen.value, Stops(0.65)) << "the reason stands beside it";
  // Before: 18 of 24 frames off by 0.65; the scatter and the posterior's own spread are small.
  EXPECT_NEAR(plan.expected_error.before, 0.65 * std::sqrt(18.0 / 24), 0.02);
  EXPECT_LT(plan.expected_error.after, 0.08);
}

// The same camera where nearly all is shot at 1/15: there the dial stays, and the few others have
// their line or, being one frame, are not worth one.
TEST(NextRoll, most_frames_rule) {
  Written roll(-0.65, 0.04, {{"1/15", 1 / 15.0, 0.65, 0.05, 23}}, 1);
  const NextRoll plan = roll.plan();
  EXPECT_EQ(plan.dial.index, FilmSpeed(400));
  EXPECT_THAT(plan.add, IsEmpty());
}

TEST(NextRoll, what_is_not_known_well_enough_keeps_the_dial) {
  const NextRoll plan = Written(-0.3, 0.4).plan();
  EXPECT_EQ(plan.state, PlanState::not_known);
  EXPECT_EQ(plan.dial, (DialSetting{FilmSpeed(400), FilmSpeed(400), Stops(0)}));
  EXPECT_EQ(plan.expected_error.before, plan.expected_error.after);
  EXPECT_LT(plan.chance_better, 2.0 / 3);
}

TEST(NextRoll, a_camera_that_is_surely_true_is_told_apart_from_one_that_is_not_known) {
  EXPECT_EQ(Written(0.05, 0.1).plan().state, PlanState::as_asked);
  EXPECT_EQ(Written(0.05, 0.2).plan().state, PlanState::not_known);
}

TEST(NextRoll, one_frame_is_not_worth_a_line) {
  const std::vector<Level> few{{"1/500", 1 / 500.0, 0.4, 0.05, 1}};
  const std::vector<Level> many{{"1/500", 1 / 500.0, 0.4, 0.05, 8}};
  EXPECT_THAT(Written(0, 0.05, few, 23).plan().add, IsEmpty());
  EXPECT_THAT(Written(0, 0.05, many, 16).plan().add, ElementsAre(at("1/500", -1)));
}

// Of one or two frames a wrong reading is not told from a speed that is off, however sure it seems.
TEST(NextRoll, a_line_wants_three_frames) {
  const std::vector<Level> two{{"1/4", 0.25, 2.0, 0.05, 2}};
  const std::vector<Level> three{{"1/4", 0.25, 2.0, 0.05, 3}};
  EXPECT_THAT(Written(0, 0.05, two, 9).plan().add, IsEmpty());
  EXPECT_THAT(Written(0, 0.05, three, 9).plan().add, ElementsAre(at("1/4", -6)));
}

// The same posterior on film that nobody measured, and on film from a film test.
TEST(NextRoll, believes_less_where_nobody_measured_the_film) {
  Written generic(-0.45, 0.12);
  Written measured(-0.45, 0.12);
  for (meter::DeviationSample& frame : generic.frames) frame.film_speed_sigma.reset();
  const NextRoll kept = generic.plan();
  const NextRoll changed = measured.plan();
  EXPECT_EQ(changed.state, PlanState::change);
  EXPECT_EQ(kept.state, PlanState::not_known);
  EXPECT_LT(kept.chance_better, 0.8);
  EXPECT_GT(changed.chance_better, 2.0 / 3);
}

TEST(NextRoll, the_dial_is_one_that_the_camera_has) {
  Written roll(-2.0 / 3, 0.03);
  roll.basis.camera = log::default_camera();
  roll.basis.camera->film_speeds = {FilmSpeed(100), FilmSpeed(200), FilmSpeed(400)};
  roll.basis.camera->compensation_most.reset();
  EXPECT_EQ(roll.plan().dial.index, FilmSpeed(200));
  roll.basis.camera->compensation_most = Stops(2);
  const DialSetting dial = roll.plan().dial;
  EXPECT_EQ(dial.index, FilmSpeed(250));
  EXPECT_NEAR(exact(dial.mark).speed_value() - dial.compensation.value(),
              exact(FilmSpeed(250)).speed_value(), 0.02)
      << "mark and compensation give the index";
}

meter::SceneTechnique scene(const char* word, double stops, double asked, int frames,
                            int agreeing) {
  return {.scene = word,
          .stops = normal_estimate(Stops(stops), Stops(0.2)),
          .asked = Stops(asked),
          .frames = frames,
          .agreeing = agreeing};
}

// Common practice: open up for snow by one to two stops. In all, whatever was added on the roll.
TEST(NextRoll, scenes_have_their_total) {
  Written roll(0, 0.05, {}, 12);
  for (int i = 0; i < 4; ++i)
    roll.frames.push_back({.film_speed_sigma = 0.05, .scene = "Snow, sun"});
  for (int i = 0; i < 4; ++i) roll.frames.push_back({.film_speed_sigma = 0.05, .scene = "beach"});
  roll.basis.techniques = {scene("snow", 1.6, 0, 4, 4), scene("beach", 1.0, 1.0, 4, 3),
                           scene("sun", 0.9, 0, 4, 2)};
  const NextRoll plan = roll.plan();
  EXPECT_EQ(plan.dial.index, FilmSpeed(400));
  EXPECT_THAT(plan.add, ElementsAre(line(AllowanceFor::scene, "snow", 5),
                                    line(AllowanceFor::scene, "beach", 3)))
      << "what was asked for goes on; two of four do not establish a scene";
}

/// A camera that is right but for one effect of 0.6 on every second frame.
NextRoll with_effect(meter::BiasFactor factor, const std::string& level,
                     const meter::DeviationSample& having, const meter::DeviationSample& other) {
  Written roll(0, 0.03, {}, 0);
  roll.basis.meter.effects.push_back({.factor = factor,
                                      .level = level,
                                      .stops = normal_estimate(Stops(0.6), Stops(0.03)),
                                      .frames = 8});
  roll.basis.meter.covariance = {0.0009, 0, 0, 0.0009};
  roll.basis.meter.middle_ev = 12;
  for (int k = 0; k < 8; ++k) {
    for (meter::DeviationSample sample : {having, other}) {
      sample.film_speed_sigma = 0.05;
      roll.frames.push_back(sample);
    }
  }
  return roll.plan();
}

// Every second frame off by 0.6 is 0.42 rms. A line there is for speeds and lenses alone: nobody
// sets an aperture, a mode or a film otherwise to be off by less.
TEST(NextRoll, counts_every_effect_and_allows_for_a_lens_that_is_off) {
  using enum meter::BiasFactor;
  const double half_of_them = 0.6 / std::sqrt(2.0);
  const NextRoll of_lens = with_effect(lens, "50 mm", {.lens = "50 mm"}, {.lens = "90 mm"});
  EXPECT_THAT(of_lens.add, ElementsAre(Allowance{AllowanceFor::lens, "50 mm", Stops(-2 * kThird)}));
  EXPECT_NEAR(of_lens.expected_error.before, half_of_them, 0.02);
  EXPECT_LT(of_lens.expected_error.after, 0.12);
  const NextRoll others[] = {
      with_effect(aperture, "f/8", {.aperture = FNumber(8)}, {.aperture = FNumber(4)}),
      with_effect(mode, "manual", {.mode = log::ExposureMode::manual},
                  {.mode = log::ExposureMode::program}),
      with_effect(film, "slow", {.film = "slow"}, {.film = "fast"})};
  for (const NextRoll& plan : others) {
    EXPECT_NEAR(plan.expected_error.before, half_of_them, 0.02);
    EXPECT_THAT(plan.add, IsEmpty());
  }
  // 0.6 an EV, a frame an EV above and one an EV below the middle.
  EXPECT_NEAR(
      with_effect(light_level, "", {.light_ev = 13}, {.light_ev = 11}).expected_error.before, 0.6,
      0.02);
}

TEST(NextRoll, unchanged_says_the_dial_as_it_was) {
  Written roll(-0.65, 0.04, {{"1/15", 1 / 15.0, 0.65, 0.05, 6}}, 18);
  const NextRoll same = unchanged(roll.plan(), PlanState::held_up);
  EXPECT_EQ(same.dial.index, FilmSpeed(400));
  EXPECT_THAT(same.add, IsEmpty());
  EXPECT_EQ(same.state, PlanState::held_up);
}

/// Errors, all but known, and frames drawn at random: 3 speeds, 2 scenes that frames of all speeds
/// have.
struct DrawnProblem {
  std::vector<double> mean;
  std::vector<double> covariance;
  std::vector<PlanLoss::Frame> frames;

  explicit DrawnProblem(std::mt19937& random) {
    std::normal_distribution<> normal(0, 0.6);
    constexpr std::size_t kErrors = 6;
    std::vector<std::vector<double>> root(kErrors, std::vector<double>(kErrors, 0.0));
    for (auto& row : root) {
      for (double& value : row) value = 0.001 * normal(random);
    }
    for (std::size_t i = 0; i < kErrors; ++i) {
      mean.push_back(normal(random));
      for (std::size_t j = 0; j < kErrors; ++j) {
        double sum = 0;
        for (std::size_t k = 0; k < kErrors; ++k) sum += root[i][k] * root[j][k];
        covariance.push_back(sum);
      }
    }
    for (int k = 0; k < 20; ++k) {
      PlanLoss::Frame frame{.errors = std::vector<double>(kErrors, 0.0), .actions = {0}};
      frame.errors[0] = 1;
      const auto add = [&](std::size_t action, double sign) {
        frame.errors[action] = sign;
        frame.actions.push_back(action);
      };
      add(1 + random() % 3, 1);
      if (random() % 2 == 0) add(4, -1);
      if (random() % 3 == 0) add(5, -1);
      frames.push_back(frame);
    }
  }
};

/// Every plan within 1 stop, one after the other.
double least_of_all(const PlanSearch& search) {
  double least = 1e9;
  std::vector<double> plan(6, 0.0);
  for (const DialChoice& dial : search.dials) {
    plan[0] = dial.change.value();
    for (int code = 0; code < 7 * 7 * 7 * 7 * 7; ++code) {
      int rest = code;
      for (std::size_t i = 1; i < 6; ++i, rest /= 7) plan[i] = (rest % 7 - 3) * kThird;
      least = std::min(least, cost_of(search, plan, dial));
    }
  }
  return least;
}

TEST(PlanSearch, finds_what_trying_every_plan_finds) {
  std::mt19937 random(5);
  for (int trial = 0; trial < 12; ++trial) {
    const DrawnProblem drawn(random);
    const PlanLoss loss(drawn.mean, drawn.covariance, drawn.frames, 6);
    PlanSearch search{
        .loss = loss, .dials = {}, .present = std::vector<double>(6, 0.0), .most_thirds = 3};
    for (int thirds = -3; thirds <= 3; ++thirds) {
      search.dials.push_back({Stops(thirds * kThird), thirds == 0 ? 0 : 1});
    }
    const FoundPlan found = best_plan(search);
    const double cost = cost_of(search, found.amounts, search.dials[found.dial]);
    EXPECT_NEAR(cost, least_of_all(search), 1e-9) << trial;
  }
}

// Against draws: the loss and the chance that one plan is better than another.
TEST(PlanLoss, is_what_draws_of_the_errors_give) {
  std::mt19937 random(8);
  const double sigma = 0.3;
  const PlanLoss loss({-0.4, 0.2}, {sigma * sigma, 0.01, 0.01, 0.04},
                      {{{1, 0}, {0}}, {{1, 1}, {0, 1}}, {{1, 1}, {0, 1}}}, 2);
  const std::vector<double> before{0, 0};
  const std::vector<double> after{1.0 / 3, -1.0 / 3};
  // theta = mean + L z with L L' the covariance.
  const double l10 = 0.01 / sigma;
  const double l11 = std::sqrt(0.04 - l10 * l10);
  std::normal_distribution<> z;
  constexpr int kDraws = 200000;
  double sum_before = 0;
  double sum_after = 0;
  int better = 0;
  for (int i = 0; i < kDraws; ++i) {
    const double z0 = z(random);
    const double bias = -0.4 + sigma * z0;
    const double speed = 0.2 + l10 * z0 + l11 * z(random);
    const double b = bias * bias + 2 * std::pow(bias + speed, 2);
    const double a = std::pow(bias + 1.0 / 3, 2) + 2 * std::pow(bias + speed, 2);
    sum_before += b / 3;
    sum_after += a / 3;
    better += a < b;
  }
  EXPECT_NEAR(loss.of(before), sum_before / kDraws, 0.003);
  EXPECT_NEAR(loss.of(after), sum_after / kDraws, 0.003);
  EXPECT_NEAR(loss.chance_better(after, before), 1.0 * better / kDraws, 0.005);
  EXPECT_NEAR(loss.chance_better(before, after), 1 - 1.0 * better / kDraws, 0.005);
}

// The next roll has a batch and frames of its own, which no plan knows.
TEST(PlanLoss, is_judged_on_a_roll_that_draws_its_own_error) {
  std::mt19937 random(9);
  const double sigma = 0.2;
  const NextRollChance chance{.roll = 0.15, .frame = 0.3};
  const PlanLoss loss({-0.3}, {sigma * sigma}, {{{1}, {0}}, {{1}, {0}}, {{1}, {0, 1}}}, 2, chance);
  const std::vector<double> before{0, 0};
  const std::vector<double> after{1.0 / 3, -2.0 / 3};
  std::normal_distribution<> z;
  constexpr int kDraws = 200000;
  int better = 0;
  for (int i = 0; i < kDraws; ++i) {
    const double off = -0.3 + sigma * z(random) + chance.roll * z(random);
    double gain = 0;
    for (const double added : {1.0 / 3, 1.0 / 3, -1.0 / 3}) {
      const double frame = off + chance.frame * z(random);
      gain += frame * frame - std::pow(frame + added, 2);
    }
    better += gain > 0;
  }
  EXPECT_NEAR(loss.chance_better(after, before), 1.0 * better / kDraws, 0.005);
}

}  // namespace
}  // namespace basefog::plan
