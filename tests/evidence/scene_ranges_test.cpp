// SPDX-License-Identifier: GPL-3.0-or-later
// Rolls of scenes whose ranges are those of pictures, on a measured film developed to another
// contrast than the one assumed.
#include "basefog/evidence/scene_ranges.hpp"

#include <gtest/gtest.h>

#include <cmath>
#include <random>

#include "makers/tabulated_film.hpp"

namespace basefog::evidence {
namespace {

constexpr int kColumns = 70;
constexpr int kRows = 46;

/// Rolls of ramps with Weibull ranges between the percentiles, mean `mean_range` stops, about a
/// middle 2.6 stops above the speed point.
std::vector<density::FrameMeasurement> roll_of(const TabulatedFilm& film, int frames,
                                               double mean_range, unsigned seed) {
  std::minstd_rand random(seed);
  std::weibull_distribution<double> range(3, mean_range / std::tgamma(1 + 1 / 3.0));
  std::normal_distribution<double> middle(2.6, 0.5);
  const double speed_point = film.log_exposure_at(0, 0.10);
  std::vector<density::FrameMeasurement> roll;
  for (int f = 0; f < frames; ++f) {
    const double whole = range(random) / 0.96;
    const double centre = middle(random);
    std::vector<double> density;
    for (int i = 0; i < kColumns * kRows; ++i) {
      const double place = (i + 0.5) / (kColumns * kRows) - 0.5;
      density.push_back(film.density_at(0, speed_point + (centre + whole * place) * kLog10PerStop));
    }
    roll.push_back(frame_of(kColumns, kRows, {density}));
  }
  return roll;
}

SceneRanges weigh(const std::vector<density::FrameMeasurement>& roll, const density::FilmBase& base,
                  const film::FilmProfile& film) {
  std::vector<RangeFrame> frames;
  for (const density::FrameMeasurement& frame : roll) frames.push_back({&frame, &base});
  return contrast_from_ranges(frames, film);
}

// Average gradients of the table's developments over ISO 6's 0.615, from its own readings.
double true_factor(const TabulatedFilm& film) {
  const double from = film.log_exposure_at(0, 0.10);
  return (film.density_at(0, from + 1.30) - film.density_at(0, from)) / 0.80;
}

TEST(SceneRanges, pull_and_push_are_told_from_many_frames) {
  for (const char* time : {"6 min", "8.5 min", "12 min"}) {
    const TabulatedFilm film = read_film("densitometer/six_development_times.csv", {time});
    film::FilmProfile generic = film::generic_black_and_white(FilmSpeed(100));
    generic.contrast_relative_sigma = 0.3;  // a development that nobody states
    const SceneRanges found = weigh(roll_of(film, 36, 5.3, 5), base_of(film), generic);
    EXPECT_EQ(found.frames, 36);
    EXPECT_LE(*found.factor.low, true_factor(film)) << time;
    EXPECT_GE(*found.factor.high, true_factor(film)) << time;
    EXPECT_LT(found.film.contrast_relative_sigma, 0.24) << time;
    EXPECT_EQ(found.film.contrast_source, film::ContrastSource::scene_ranges);
  }
}

// Of many rolls, contrasts drawn as the prior says and roll means as the model says: 95 % of the
// intervals hold, and doubt is less than before.
TEST(SceneRanges, interval_holds_as_often_as_it_says) {
  const TabulatedFilm film = read_film("densitometer/six_development_times.csv", {"8.5 min"});
  const double truth = true_factor(film);
  std::minstd_rand random(3);
  std::normal_distribution<double> normal(0, 1);
  int held = 0;
  double squares = 0;
  constexpr int kRolls = 60;
  for (int r = 0; r < kRolls; ++r) {
    const film::FilmProfile assumed = film::generic_black_and_white(FilmSpeed(100))
                                          .with_contrast(truth * std::exp(-0.10 * normal(random)));
    const double average = assumed.layers[0].curve.average_gradient() / 0.615;
    const double mean_range = 5.3 * std::exp(0.25 * normal(random));
    const SceneRanges found = weigh(roll_of(film, 24, mean_range, 100 + r), base_of(film), assumed);
    const double factor = truth / average;
    held += *found.factor.low <= factor && factor <= *found.factor.high ? 1 : 0;
    squares += std::pow(std::log(found.factor.value / factor), 2);
  }
  EXPECT_GE(held, 53);  // 57 expected; 2 in 100 chances for 52 or fewer
  EXPECT_LT(std::sqrt(squares / kRolls), 0.12);
}

TEST(SceneRanges, few_frames_say_nothing) {
  const TabulatedFilm film = read_film("densitometer/six_development_times.csv", {"8.5 min"});
  const film::FilmProfile generic = film::generic_black_and_white(FilmSpeed(100));
  const SceneRanges found = weigh(roll_of(film, 3, 5.3, 1), base_of(film), generic);
  EXPECT_EQ(found.film.contrast_source, film::ContrastSource::generic);
  EXPECT_FALSE(found.factor.two_sided());
  EXPECT_EQ(found.film.contrast_relative_sigma, generic.contrast_relative_sigma);
}

TEST(SceneRanges, a_film_test_is_left_nearly_as_it_was) {
  const TabulatedFilm film = read_film("densitometer/six_development_times.csv", {"8.5 min"});
  film::FilmProfile tested = film::generic_black_and_white(FilmSpeed(100));
  tested.contrast_source = film::ContrastSource::film_test;
  tested.contrast_relative_sigma = 0.02;
  const SceneRanges found = weigh(roll_of(film, 36, 4.0, 9), base_of(film), tested);
  EXPECT_EQ(found.film.contrast_source, film::ContrastSource::film_test);
  EXPECT_NEAR(found.factor.value, 1, 0.03);
}

}  // namespace
}  // namespace basefog::evidence
