// SPDX-License-Identifier: GPL-3.0-or-later
// Drawings of a camera's rolls and of what a film's curve may be.
#include <gmock/gmock.h>
#include <gtest/gtest.h>

#include <string>
#include <vector>

#include "basefog/report/bias_table.hpp"
#include "basefog/report/film_report.hpp"

namespace basefog::report {
namespace {

using testing::HasSubstr;
using testing::Not;

std::size_t count(const std::string& text, const std::string& part) {
  std::size_t found = 0;
  for (std::size_t at = text.find(part); at != std::string::npos; at = text.find(part, at + 1)) {
    ++found;
  }
  return found;
}

meter::RememberedRoll roll_of(const std::string& name, const std::string& date, double deviation) {
  meter::RememberedRoll roll{.name = name, .camera = "<black>", .film = "pan", .date = date};
  for (int i = 0; i < 4; ++i) {
    roll.deviations.push_back({.deviation = Stops(deviation + 0.1 * i), .sigma = 0.1});
  }
  return roll;
}

TEST(BiasPlot, shows_each_frame_each_roll_and_the_bias_now) {
  const std::vector<meter::RememberedRoll> rolls = {roll_of("second", "2026-05-01", 0.5),
                                                    roll_of("first", "2026-01-01", -0.5)};
  const std::string svg = bias_plot(rolls, meter::fit_bias_history(rolls));
  EXPECT_EQ(count(svg, "class=\"frame\""), 8U);
  EXPECT_EQ(count(svg, "class=\"roll\""), 2U);
  EXPECT_EQ(count(svg, "class=\"now\""), 1U);
  EXPECT_LT(svg.find("2026-01-01"), svg.find("2026-05-01")) << "in order of date";
  EXPECT_THAT(svg, HasSubstr("&lt;black&gt;"));
  EXPECT_THAT(svg, Not(HasSubstr("nan")));
}

TEST(FilmPlot, a_band_is_as_wide_as_the_film_is_unsure) {
  film::FilmProfile film = film::generic_black_and_white(FilmSpeed(400));
  const std::vector<double> places = {0.0, 4.0, 8.0};
  const std::vector<double> generic = density_sigmas(film, 0, places);
  // A tenth of the contrast moves the density a tenth of what it is above the speed point's.
  const auto rise = [&](double stops) {
    return film.layers[0].curve.density(Stops(stops)).value() - 0.1;
  };
  EXPECT_NEAR(generic[1], 0.1 * rise(4), 0.02);
  film.contrast_relative_sigma = film.toe_sigma_stops = film.shoulder_sigma_stops =
      film.speed_sigma_stops = 0;
  for (const double sigma : density_sigmas(film, 0, places)) EXPECT_NEAR(sigma, 0, 1e-4);
  EXPECT_EQ(count(film_plot(film), "class=\"band\""), 1U);
}

}  // namespace
}  // namespace basefog::report
