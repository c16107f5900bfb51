// SPDX-License-Identifier: GPL-3.0-or-later
#include "basefog/memory/film_memory.hpp"

#include <gmock/gmock.h>
#include <gtest/gtest.h>

#include <cmath>
#include <random>

#include "basefog/core/film_facts.hpp"

namespace basefog::memory {
namespace {

using enum film::FilmParameter;
using testing::ElementsAre;
using testing::IsEmpty;

const film::FilmProfile kForm = film::generic_black_and_white(FilmSpeed(400));

/// A roll that says of its contrast alone: ln of the factor, and how well.
FilmLesson lesson(const std::string& roll, double log_contrast, double sigma,
                  const std::string& developed = "9 min at 20 C") {
  FilmLesson one{.roll = roll,
                 .use = {.film = "Harbour Pan 400", .developed = developed},
                 .form = film::fingerprint(kForm)};
  one.evidence.information[contrast][contrast] = 1 / (sigma * sigma);
  one.evidence.toward[contrast] = log_contrast / (sigma * sigma);
  return one;
}

const FilmUse kUse{.film = "harbour pan 400", .developed = "9 min at 20 C"};

TEST(FilmMemory, without_lessons_nothing_is_said) {
  const FilmMemory memory = recall({}, kUse, kForm);
  EXPECT_FALSE(memory.says_anything());
  EXPECT_NEAR(memory.roll.mean[contrast], 0, 1e-12);
  EXPECT_NEAR(memory.roll.sigma(contrast), kForm.contrast_relative_sigma, 1e-9);
}

// One roll by hand: prior of the film 0.1^2 - w^2, of the roll w^2 more, seen to s^2.
TEST(FilmMemory, one_roll_is_a_conjugate_normal) {
  const double w = film_facts::kHomeWander;
  const double s = 0.03;
  const FilmMemory memory = recall(std::vector{lesson("a", 0.12, s)}, kUse, kForm);
  ASSERT_THAT(memory.rolls, ElementsAre("a"));
  // The wander is learned from one roll too, hardly.
  EXPECT_NEAR(memory.wander, w, 0.02);
  const double prior = 0.01 - memory.wander * memory.wander;
  const double seen = s * s + memory.wander * memory.wander;
  EXPECT_NEAR(memory.film.mean[contrast], 0.12 * prior / (prior + seen), 1e-6);
  EXPECT_NEAR(memory.film.sigma(contrast), std::sqrt(prior * seen / (prior + seen)), 1e-6);
  EXPECT_NEAR(memory.roll.sigma(contrast), std::hypot(memory.film.sigma(contrast), memory.wander),
              1e-9);
}

TEST(FilmMemory, other_films_and_forms_say_nothing) {
  FilmLesson other_film = lesson("a", 0.2, 0.02);
  other_film.use.film = "Hill Pan 400";
  FilmLesson other_form = lesson("b", 0.2, 0.02);
  other_form.form = film::fingerprint(film::generic_chromogenic(FilmSpeed(400)));
  EXPECT_FALSE(recall(std::vector{other_film, other_form}, kUse, kForm).says_anything());
}

TEST(FilmMemory, the_newest_measured_curve_of_a_film_is_remembered) {
  const auto profile_of = [](double factor) {
    auto profile = std::make_shared<film::FilmProfile>(kForm);
    film::CharacteristicCurve& curve = profile->layers.front().curve;
    curve = curve.with_contrast(factor);
    return profile;
  };
  std::vector<FilmLesson> lessons;
  for (const double factor : {1.1, 1.2, 1.3}) {
    FilmLesson one = lesson("roll", 0.1, 0.02);
    one.profile = profile_of(factor);
    one.form = film::fingerprint(*one.profile);
    one.date = factor == 1.2 ? "2026-05-01" : "2026-04-01";
    lessons.push_back(one);
  }
  FilmLesson generic = lesson("generic", 0.1, 0.02);
  generic.profile = std::make_shared<film::FilmProfile>(kForm);
  generic.date = "2026-06-01";
  lessons.push_back(generic);
  EXPECT_EQ(measured_curve(lessons, "harbour pan 400"), lessons[1].profile);
  EXPECT_EQ(measured_curve(lessons, "Hill Pan 400"), nullptr);
  EXPECT_EQ(measured_curve(std::vector{generic}, "Harbour Pan 400"), nullptr);
}

TEST(FilmMemory, another_time_counts_by_the_law_of_time) {
  const FilmMemory memory =
      recall(std::vector{lesson("a", 0.0, 0.01, "6 min at 20 C")}, kUse, kForm);
  EXPECT_THAT(memory.rolls, IsEmpty());
  EXPECT_THAT(memory.others, ElementsAre("a"));
  const double harder = film_facts::kTimeExponent * std::log(9.0 / 6.0);
  EXPECT_GT(memory.roll.mean[contrast], 0.4 * harder);
  EXPECT_LT(memory.roll.mean[contrast], harder);
  // Less sure than from the development itself.
  const FilmMemory same = recall(std::vector{lesson("a", 0.0, 0.01)}, kUse, kForm);
  EXPECT_GT(memory.roll.sigma(contrast), same.roll.sigma(contrast));
}

/// Rolls of one film that wander by w, each seen to s.
std::vector<FilmLesson> drawn(int count, double film, double w, double s, unsigned seed) {
  std::mt19937 random(seed);
  std::normal_distribution<double> normal;
  std::vector<FilmLesson> lessons;
  for (int i = 0; i < count; ++i) {
    const double roll = film + w * normal(random);
    lessons.push_back(lesson(std::to_string(i), roll + s * normal(random), s));
  }
  return lessons;
}

// 400 films of 4 rolls each: what is said of a fifth holds as often as it says. 95 % of 400 has a
// standard error of 1.1 %.
TEST(FilmMemory, what_is_said_of_the_next_roll_holds) {
  std::mt19937 random(20);
  std::normal_distribution<double> normal;
  const double w = 0.05;
  int held = 0;
  constexpr int kFilms = 400;
  for (int i = 0; i < kFilms; ++i) {
    const double film = std::sqrt(0.01 - w * w) * normal(random);
    const FilmMemory memory =
        recall(drawn(4, film, w, 0.04, static_cast<unsigned>(i)), kUse, kForm);
    const double next = film + w * normal(random);
    const double off = (next - memory.roll.mean[contrast]) / memory.roll.sigma(contrast);
    held += std::abs(off) < 1.96 ? 1 : 0;
  }
  EXPECT_GE(held, kFilms * 0.925);
  EXPECT_LE(held, kFilms * 0.98);
}

TEST(FilmMemory, learns_how_far_a_film_wanders) {
  const double steady = recall(drawn(24, 0.05, 0.02, 0.01, 3), kUse, kForm).wander;
  const double wild = recall(drawn(24, 0.05, 0.10, 0.01, 3), kUse, kForm).wander;
  EXPECT_LT(steady, 0.035);
  EXPECT_GT(wild, 0.065);
}

TEST(FilmMemory, of_many_rolls_the_newest_count) {
  std::vector<FilmLesson> lessons = drawn(60, 0.1, 0.02, 0.02, 11);
  for (std::size_t i = 0; i < lessons.size(); ++i) {
    lessons[i].date = "20" + std::to_string(70 - i);  // the first is the newest
  }
  const FilmMemory memory = recall(lessons, kUse, kForm);
  EXPECT_EQ(memory.rolls.size() + memory.odd.size(), 40U);
  EXPECT_THAT(memory.rolls, testing::Not(testing::Contains("59")));
}

TEST(FilmMemory, another_film_under_the_name_is_noticed_and_left_out) {
  std::vector<FilmLesson> lessons = drawn(4, 0.0, 0.03, 0.02, 5);
  lessons.push_back(lesson("stranger", 0.45, 0.02));
  const FilmMemory memory = recall(lessons, kUse, kForm);
  EXPECT_THAT(memory.odd, ElementsAre("stranger"));
  EXPECT_EQ(memory.rolls.size(), 4U);
  EXPECT_LT(std::abs(memory.roll.mean[contrast]), 0.06);
}

TEST(FilmMemory, of_two_that_disagree_neither_is_believed) {
  const FilmMemory memory =
      recall(std::vector{lesson("a", -0.25, 0.02), lesson("b", 0.25, 0.02)}, kUse, kForm);
  EXPECT_FALSE(memory.says_anything());
  EXPECT_EQ(memory.odd.size(), 2U);
  EXPECT_NEAR(memory.roll.sigma(contrast), kForm.contrast_relative_sigma, 1e-9);
}

TEST(FilmMemory, a_roll_far_from_what_was_believed_is_unlike) {
  const FilmMemory memory = recall(drawn(4, 0.0, 0.05, 0.02, 7), kUse, kForm);
  EXPECT_TRUE(is_unlike(memory.roll, lesson("x", 0.4, 0.03).evidence));
  EXPECT_FALSE(is_unlike(memory.roll, lesson("x", 0.05, 0.03).evidence));
  EXPECT_FALSE(is_unlike(memory.roll, {}));  // a roll that says nothing
}

TEST(FilmMemory, a_film_test_is_less_sure_on_another_roll) {
  film::FilmProfile test = kForm;
  test.contrast_relative_sigma = 0.02;
  test.contrast_source = film::ContrastSource::film_test;
  EXPECT_EQ(on_another_roll(test, {}).speed_sigma_stops, test.speed_sigma_stops);
  test.speed_measured = true;
  test.speed_sigma_stops = 0.05;
  EXPECT_NEAR(on_another_roll(test, {}).speed_sigma_stops, std::hypot(0.05, film_facts::kRollSigma),
              1e-12);
  EXPECT_NEAR(on_another_roll(test, {.developed = "9 min"}).contrast_relative_sigma,
              std::hypot(0.02, std::sqrt(2.0) * film_facts::kHomeWander), 1e-12);
  EXPECT_NEAR(on_another_roll(test, {.developed = "lab"}).contrast_relative_sigma,
              std::hypot(0.02, std::sqrt(2.0) * film_facts::kLabWander), 1e-12);
}

}  // namespace
}  // namespace basefog::memory
