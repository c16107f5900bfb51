// SPDX-License-Identifier: GPL-3.0-or-later
#include "basefog/report/film_report.hpp"

#include <gtest/gtest.h>

#include <sstream>

namespace basefog::report {
namespace {

std::size_t count(const std::string& text, const std::string& part) {
  std::size_t n = 0;
  for (std::size_t at = text.find(part); at != std::string::npos; at = text.find(part, at + 1)) ++n;
  return n;
}

std::string sheet(const film::FilmProfile& film) {
  std::ostringstream out;
  write_film(out, film);
  return out.str();
}

// [ISO6]: log Hm of ISO 400 is -2.699, and the aim 8.125/S lies 3.34 stops above (computed).
TEST(FilmReport, sheet_says_speed_gradient_and_limits) {
  const std::string text = sheet(film::generic_black_and_white(FilmSpeed(400)));
  EXPECT_NE(text.find("log H -2.699"), std::string::npos);
  EXPECT_NE(text.find("3.34 stops above"), std::string::npos);
  EXPECT_NE(text.find("average gradient        0.62"), std::string::npos);
  EXPECT_NE(text.find("developed normally"), std::string::npos);
  // [MakerReciprocity]: 10 s becomes 20.4 s at P = 1.31.
  EXPECT_NE(text.find("10 s  to   20.4 s"), std::string::npos);
  const std::string colour = sheet(film::generic_colour_negative(FilmSpeed(400)));
  EXPECT_EQ(count(colour, " layer\n"), 3u);
  EXPECT_EQ(colour.find("development"), std::string::npos);
}

TEST(FilmReport, soft_development_is_said) {
  const std::string text =
      sheet(film::generic_black_and_white(FilmSpeed(400)).with_contrast(0.845));
  EXPECT_NE(text.find("developed softer than normal: average gradient 0.52"), std::string::npos);
}

TEST(FilmReport, no_text_of_a_file_reaches_the_terminal_as_it_is) {
  const std::string evil = "\x1b[31mred";
  film::FilmProfile film = film::generic_black_and_white(FilmSpeed(400));
  film.name = film.notes = evil;
  film.layers[0].name = evil;
  EXPECT_EQ(count(sheet(film), "\x1b"), 0u);
  EXPECT_EQ(count(sheet(film), "[31mred"), 3u);

  auto series = film::read_densitometer_table(
      std::string(BASEFOG_GOLDEN) + "/densitometer/six_development_times.csv",
      FilmKind::black_and_white, false);
  film::FilmTest test = film::calibrate_film(series[4], FilmKind::black_and_white);
  test.profile.name = test.layers[0].name = evil;
  std::ostringstream out;
  write_film_test(out, test);
  film::DevelopmentSeries developments =
      film::compare_developments(std::span(series).first(4), FilmKind::black_and_white);
  for (film::DevelopmentResult& one : developments.results) one.name = evil;
  ASSERT_FALSE(developments.pairs.empty());
  write_developments(out, developments);
  EXPECT_EQ(count(out.str(), "\x1b"), 0u);
}

TEST(FilmPlot, has_a_curve_a_layer_and_its_marks) {
  film::FilmProfile film = film::generic_colour_negative(FilmSpeed(400));
  film.name = "<script>&";
  const std::string plot = film_plot(film);
  EXPECT_EQ(count(plot, "<svg "), 1u);
  EXPECT_EQ(count(plot, "</svg>"), 1u);
  EXPECT_EQ(count(plot, "class=\"curve"), 3u);
  EXPECT_EQ(count(plot, "class=\"mark\""), 3u);
  EXPECT_EQ(plot.find("<script>"), std::string::npos);
  EXPECT_EQ(plot.find("nan"), std::string::npos);
  EXPECT_EQ(plot.find("http://"), plot.find("http://www.w3.org/2000/svg"));
}

TEST(FilmPlot, shows_the_steps_of_a_test) {
  const auto series = film::read_densitometer_table(
      std::string(BASEFOG_GOLDEN) + "/densitometer/six_development_times.csv",
      FilmKind::black_and_white, false);
  const film::FilmTest test = film::calibrate_film(series[4], FilmKind::black_and_white);
  const std::string plot = film_plot(test.profile, &series[4], &test);
  EXPECT_EQ(count(plot, "<circle"), 21u);
  std::ostringstream out;
  write_film_test(out, test);
  EXPECT_NE(out.str().find("average gradient      0.6"), std::string::npos);
  std::ostringstream developments;
  write_developments(developments, film::compare_developments(std::span(series).first(4),
                                                              FilmKind::black_and_white));
  EXPECT_NE(developments.str().find("6 min 3e"), std::string::npos);
}

}  // namespace
}  // namespace basefog::report
