// SPDX-License-Identifier: GPL-3.0-or-later
#include "roll/film_on_roll.hpp"

#include <gmock/gmock.h>
#include <gtest/gtest.h>

#include <cmath>

#include "basefog/film/sensitometry.hpp"
#include "roll/camera_findings.hpp"
#include "roll/logged_roll.hpp"

namespace basefog::roll {
namespace {

using ::testing::HasSubstr;

/// A film of that contrast, and the log that asks for a push.
struct KnownFilm {
  film::FilmProfile profile;
  std::optional<log::ShotLog> log;
};

KnownFilm roll_with(std::optional<Stops> push, double contrast, double sigma,
                    film::ContrastSource source) {
  KnownFilm roll{.profile = film::generic_black_and_white(FilmSpeed(400)).with_contrast(contrast),
                 .log = log::ShotLog{}};
  roll.profile.contrast_relative_sigma = sigma;
  roll.profile.contrast_source = source;
  for (int i = 0; i < 3; ++i) {
    log::LogRow row;
    row.push = push;
    roll.log->rows.push_back(row);
  }
  return roll;
}

std::string last_note(const KnownFilm& roll) {
  const std::vector<std::string> notes = film_notes({.profile = roll.profile}, roll.log);
  return notes.empty() ? "" : notes.back();
}

// 0.80 over 1.30 log H with 0.05 to either side is normal [ISO6], [H740, p. 10]: 0.577 to 0.654.
TEST(FilmOnRoll, development_apart_from_iso_6_is_told) {
  const std::string softer =
      last_note(roll_with({}, 0.52 / 0.6154, 0.02, film::ContrastSource::series));
  EXPECT_THAT(softer,
              HasSubstr("developed softer than normal: average gradient 0.52 (0.50 to 0.54)"));
  EXPECT_THAT(last_note(roll_with({}, 1.2, 0.02, film::ContrastSource::film_test)),
              HasSubstr("developed harder"));
  EXPECT_THAT(last_note(roll_with({}, 1.0, 0.01, film::ContrastSource::film_test)),
              HasSubstr("developed normally"));
  // Where the interval reaches into normal development nothing is claimed.
  const std::string unsure = last_note(roll_with({}, 0.95, 0.05, film::ContrastSource::series));
  EXPECT_THAT(unsure, HasSubstr("Average gradient 0.58"));
  EXPECT_THAT(unsure, ::testing::Not(HasSubstr("softer")));
  EXPECT_EQ(last_note(roll_with({}, 0.8, 0.10, film::ContrastSource::generic)), "");
}

TEST(FilmOnRoll, contrast_of_a_pushed_film_is_no_fault) {
  const std::string pushed =
      last_note(roll_with(Stops(1), 1.25, 0.02, film::ContrastSource::series));
  EXPECT_THAT(pushed, HasSubstr("as pushing by 1 stop makes it"));
  EXPECT_THAT(pushed, ::testing::Not(HasSubstr("harder than normal")));
  // A push that shows nowhere is worth a word.
  EXPECT_THAT(last_note(roll_with(Stops(2), 1.0, 0.01, film::ContrastSource::film_test)),
              HasSubstr("although the log asks for pushing by 2 stops"));
  // And the other way round it is development after all.
  EXPECT_THAT(last_note(roll_with(Stops(1), 0.8, 0.02, film::ContrastSource::film_test)),
              HasSubstr("softer"));
}

TEST(FilmOnRoll, push_is_taken_into_a_film_that_was_not_measured) {
  KnownFilm roll = roll_with(Stops(1), 1, 0.10, film::ContrastSource::generic);
  const double before = roll.profile.layers.front().curve.average_gradient();
  roll.profile = developed_as_asked(roll.profile, roll.log);
  EXPECT_NEAR(roll.profile.layers.front().curve.average_gradient() / before, 1.2, 1e-6);
  EXPECT_THAT(last_note(roll), HasSubstr("asks for pushing by 1 stop"));
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
