// SPDX-License-Identifier: GPL-3.0-or-later
#include "basefog/film/development.hpp"

#include <gtest/gtest.h>

#include "basefog/film/film_test.hpp"

namespace basefog::film {
namespace {

// [StepWedge]: from 8.5 to 12 minutes, a time 1.41 times as long, the measured gradient grows by a
// factor that a push of one stop must come within its sigma of.
TEST(Development, push_matches_StepWedge) {
  const auto series = read_densitometer_table(
      std::string(BASEFOG_GOLDEN) + "/densitometer/six_development_times.csv",
      FilmKind::black_and_white, false);
  const auto gradient = [&](std::size_t i) {
    return calibrate_film(series[i], FilmKind::black_and_white).layers[0].average_gradient.value;
  };
  const double measured = gradient(6) / gradient(4);
  const FilmProfile normal = generic_black_and_white(FilmSpeed(400));
  const FilmProfile pushed = developed(normal, Stops(1));
  const double factor =
      pushed.layers[0].curve.average_gradient() / normal.layers[0].curve.average_gradient();
  EXPECT_NEAR(factor, measured, 0.08);
  EXPECT_NEAR(factor, 1.2, 1e-6);
  EXPECT_GT(pushed.contrast_relative_sigma, normal.contrast_relative_sigma);
  EXPECT_LT(developed(normal, Stops(-1)).layers[0].curve.average_gradient(),
            normal.layers[0].curve.average_gradient());
}

TEST(Development, measured_film_is_left_as_it_is) {
  FilmProfile film = generic_black_and_white(FilmSpeed(400));
  film.contrast_source = ContrastSource::film_test;
  EXPECT_EQ(developed(film, Stops(2)).layers[0].curve.average_gradient(),
            film.layers[0].curve.average_gradient());
}

}  // namespace
}  // namespace basefog::film
