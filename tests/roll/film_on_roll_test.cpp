// SPDX-License-Identifier: GPL-3.0-or-later
#include "roll/film_on_roll.hpp"

#include <gtest/gtest.h>

#include <cmath>

#include "basefog/film/sensitometry.hpp"
#include "roll/camera_findings.hpp"
#include "roll/logged_roll.hpp"

namespace basefog::roll {
namespace {

TEST(FilmOnRoll, push_is_taken_into_a_film_that_was_not_measured) {
  log::ShotLog log;
  log.rows.resize(3);
  for (log::LogRow& row : log.rows) row.push = Stops(1);
  film::FilmProfile film = film::generic_black_and_white(FilmSpeed(400));
  const auto gradient_asked = [&] {
    return developed_as_asked(film, log).layers.front().curve.average_gradient();
  };
  const double before = film.layers.front().curve.average_gradient();
  EXPECT_NEAR(gradient_asked() / before, 1.2, 1e-6);
  film.contrast_source = film::ContrastSource::film_test;
  EXPECT_EQ(gradient_asked(), before);
}

memory::FilmLesson harder_by(double log_contrast, const std::string& roll,
                             const film::FilmProfile& form) {
  memory::FilmLesson lesson{
      .roll = roll, .use = {.film = "Harbour Pan 400"}, .form = film::fingerprint(form)};
  constexpr auto kContrast = film::FilmParameter::contrast;
  lesson.evidence.information[kContrast][kContrast] = 1e4;
  lesson.evidence.toward[kContrast] = 1e4 * log_contrast;
  return lesson;
}

double gradient(const film::FilmProfile& film) {
  return film.layers.front().curve.average_gradient();
}

TEST(FilmOnRoll, a_film_is_known_from_the_rolls_remembered_of_it) {
  const film::FilmProfile form = film::generic_black_and_white(FilmSpeed(400));
  log::ShotLog log;
  log.film = "HARBOUR PAN 400";
  ReviewOptions options;
  options.lessons = {harder_by(0.2, "one", form), harder_by(0.2, "two", form)};
  const KnownFilm known = known_film({form, {}}, log, options, "three");
  ASSERT_TRUE(known.memory);
  EXPECT_EQ(known.memory->rolls.size(), 2U);
  EXPECT_EQ(known.profile.contrast_source, film::ContrastSource::remembered);
  EXPECT_GT(gradient(known.profile) / gradient(form), 1.1);
  EXPECT_NEAR(std::log(gradient(known.profile) / gradient(form)),
              known.place[film::FilmParameter::contrast], 1e-3);
  EXPECT_LT(known.profile.contrast_relative_sigma, form.contrast_relative_sigma);
  // A roll is no witness of itself, and an unnamed film takes nothing.
  EXPECT_EQ(known_film({form, {}}, log, options, "two").memory->rolls.size(), 1U);
  log.camera = "the other one";  // whose roll "two" is another
  EXPECT_EQ(known_film({form, {}}, log, options, "two").memory->rolls.size(), 2U);
  log.camera.clear();
  log.film = "harbour pan";  // its speed is known, and its label
  EXPECT_EQ(known_film({form, {}}, log, options, "three").use.film, "harbour pan 400");
  log.film.clear();
  EXPECT_FALSE(known_film({form, {}}, log, options, "three").memory);
  EXPECT_EQ(gradient(known_film({form, {}}, log, options, "three").profile), gradient(form));
}

TEST(FilmOnRoll, a_film_test_is_believed_whole_on_its_own_roll_alone) {
  film::FilmProfile test = film::generic_black_and_white(FilmSpeed(400));
  test.contrast_source = film::ContrastSource::film_test;
  test.contrast_relative_sigma = 0.02;
  test.measured_on = "test roll";
  EXPECT_EQ(known_film({test, {}}, {}, {}, "test roll").profile.contrast_relative_sigma, 0.02);
  EXPECT_GT(known_film({test, {}}, {}, {}, "another").profile.contrast_relative_sigma, 0.05);
  test.measured_on.clear();
  EXPECT_GT(known_film({test, {}}, {}, {}, "").profile.contrast_relative_sigma, 0.05);
}

/// A frame read as `exposure` with a row of so many seconds at the meter's word.
LoggedRoll long_exposure(double seconds, const film::Reciprocity& reciprocity) {
  LoggedRoll roll{.film = film::generic_black_and_white(FilmSpeed(100))};
  roll.film.reciprocity = reciprocity;
  log::LogRow row;
  row.used = {ShutterTime(seconds), FNumber(8)};
  row.mode = log::ExposureMode::manual;
  roll.add({Stops(-1), Stops(-1.3), Stops(-0.7)}, row);
  return roll;
}

// Worked: at P = 1.31, 20.4 s acts as 10 s [MakerReciprocity], a loss of 1.03 stops, half of which
// is unsure [BondGainer], [KodakReciprocity]. Taken off once, from what was expected.
TEST(FilmOnRoll, reciprocity_enters_expected_once_with_its_doubt) {
  const LoggedFrame frame =
      long_exposure(std::pow(10, 1.31), {.exponent = 1.31, .table = {}, .relative_sigma = 0.5})
          .compared()
          .front();
  EXPECT_NEAR(frame.expected->value(), -1.03, 0.01);
  EXPECT_NEAR(frame.expected_sigma.value(), 0.515, 0.01);
  EXPECT_NEAR(frame.deviation->value.value(), 0.03, 0.01);
  const double half = std::hypot(0.3, kNormal975 * 0.515);
  EXPECT_NEAR((frame.deviation->value - *frame.deviation->low).value(), half, 0.01);
  EXPECT_NEAR((*frame.deviation->high - frame.deviation->value).value(), half, 0.01);
  EXPECT_TRUE(frame.flags.contains(Flag::reciprocity_uncertain));
}

// The classic table: 10 s needs 50 s [KodakReciprocity], so 50 s acts as 10 s.
TEST(FilmOnRoll, reciprocity_may_come_from_a_table) {
  const LoggedFrame frame =
      long_exposure(
          50, {.exponent = 1, .table = {{1, 2}, {10, 50}, {100, 1200}}, .relative_sigma = 0.2})
          .compared()
          .front();
  EXPECT_NEAR(frame.expected->value(), -std::log2(5.0), 0.03);
  EXPECT_NEAR(frame.expected_sigma.value(), 0.2 * std::log2(5.0), 0.01);
}

TEST(FilmOnRoll, short_times_lose_nothing) {
  const LoggedFrame frame =
      long_exposure(1.0 / 60, {.exponent = 1.31, .table = {}}).compared().front();
  EXPECT_EQ(frame.expected, ExposureFromAim());
  EXPECT_EQ(frame.expected_sigma, Stops(0));
  EXPECT_NEAR(frame.deviation->low->value(), -1.3, 1e-9);
  EXPECT_FALSE(frame.flags.contains(Flag::reciprocity_uncertain));
}

TEST(FilmOnRoll, doubt_of_reciprocity_is_shared_by_the_rolls_frames) {
  const LoggedRoll roll = long_exposure(std::pow(10, 1.31), {.exponent = 1.31, .table = {}});
  const auto samples = judge_camera(roll.compared(), roll.rows, roll.film).deviations;
  ASSERT_EQ(samples.size(), 1u);
  EXPECT_NEAR(samples.front().reciprocity.value(), 0.515, 0.01);
  EXPECT_EQ(samples.front().sigma, 0);
}

}  // namespace
}  // namespace basefog::roll
