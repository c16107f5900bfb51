// SPDX-License-Identifier: GPL-3.0-or-later
// What every writer says of colour film's layers, of the film as the roll shows it, and of long
// times.
#include <gmock/gmock.h>
#include <gtest/gtest.h>

#include <nlohmann/json.hpp>
#include <sstream>

#include "basefog/page/html_page.hpp"
#include "basefog/report/report.hpp"
#include "makers/sample_analysis.hpp"
#include "report/wording.hpp"

namespace basefog::report {
namespace {

using ::testing::HasSubstr;
using ::testing::Not;
using Json = nlohmann::ordered_json;

template <class Quantity = Stops>
Estimate<Quantity> between(double value, double low, double high) {
  return {Quantity(value), Quantity(low), Quantity(high)};
}

/// The sample roll with its third frame on colour film by lamplight.
roll::Analysis by_lamplight() {
  roll::Analysis analysis = sample_analysis();
  analysis.film = film::generic_colour_negative(FilmSpeed(400));
  analysis.series = evidence::SeriesContrast{
      .factor = {1.0, {}, {}},
      .series = {{.frames = {1, 2}, .logged = {Stops(0), Stops(2)}, .left_out = {}, .used = true}},
      .film = analysis.film,
      .names = {"1", "2", "3"},
      .not_seen = {}};
  roll::FrameResult& frame = analysis.frames[2];
  using FromAim = ExposureFromAim;
  using Above = ExposureAboveSpeedPoint;
  frame.reading->layers = {
      {"red", between<FromAim>(0.4, 0.1, 0.7), between<Above>(1.5, 1.2, 1.8), between(5, 4, 6)},
      {"green", between<FromAim>(-0.4, -0.7, -0.1), between<Above>(0.7, 0.4, 1.0),
       between(6, 5, 7)},
      {"blue",
       between<FromAim>(-1.6, -1.9, -1.3),
       {Above(-1), {}, Above(-0.8)},
       {Stops(7), Stops(6), {}}}};
  frame.reading->light_colour = {between(0.8, 0.5, 1.1), between(-1.2, -1.5, -0.9)};
  frame.flags.insert(Flag::layer_starved);
  frame.expected_sigma = Stops(0.5);
  return analysis;
}

Json json_of(const roll::Analysis& analysis) {
  std::ostringstream out;
  write_json(out, analysis);
  return Json::parse(out.str());
}

TEST(ColourFilm, json_has_layers_and_the_colour_of_the_light) {
  const Json json = json_of(by_lamplight());
  EXPECT_EQ(json["film"]["channels_unmixed"], false);
  EXPECT_EQ(json["film"]["notes"].size(), 1u);
  const Json& frame = json["frames"][2];
  EXPECT_EQ(frame["layers"][2], Json::parse(R"({"name": "blue",
      "exposure": {"stops": -1.6, "ci95": [-1.9, -1.3]},
      "shadow_reserve": {"stops": -1.0, "ci95": [null, -0.8]},
      "highlight_room": {"stops": 7.0, "ci95": [6.0, null]}})"));
  EXPECT_EQ(frame["light_colour"], Json::parse(R"({
      "red_less_green": {"stops": 0.8, "ci95": [0.5, 1.1]},
      "blue_less_green": {"stops": -1.2, "ci95": [-1.5, -0.9]}})"));
  // Other frames, and other film, have neither.
  EXPECT_FALSE(json["frames"][1].contains("layers"));
  EXPECT_FALSE(json_of(sample_analysis())["film"].contains("channels_unmixed"));
}

TEST(ColourFilm, expected_has_an_interval_where_reciprocity_fails) {
  const Json frames = json_of(by_lamplight())["frames"];
  EXPECT_EQ(frames[2]["expected"], Json::parse(R"({"stops": 0.0, "ci95": [-0.98, 0.98]})"));
  EXPECT_FALSE(frames[1]["expected"].contains("ci95"));
}

TEST(ColourFilm, table_says_what_stands_out_and_that_channels_are_not_unmixed) {
  std::ostringstream out;
  write_table(out, by_lamplight(), {.columns = 120, .detailed = true});
  EXPECT_THAT(out.str(), HasSubstr("The film"));
  EXPECT_THAT(out.str(), HasSubstr("show one view at exposures 2.0 stops apart"));
  EXPECT_THAT(out.str(), HasSubstr("blue layer got 1.2 stops less than"));
  EXPECT_THAT(out.str(), HasSubstr("is read as one layer of the film"));
}

TEST(ColourFilm, page_shows_the_layers_and_how_they_were_measured) {
  std::ostringstream out;
  page::write_html(out, by_lamplight());
  EXPECT_THAT(out.str(), HasSubstr("<dt>Blue layer</dt>"));
  EXPECT_THAT(out.str(), HasSubstr("as by lamplight"));
  EXPECT_THAT(out.str(), HasSubstr("other layers&#39; dyes is not taken out"));
  EXPECT_THAT(out.str(), HasSubstr("<dt>On this roll</dt><dd>Frames 2, 3 show one view"));
  std::ostringstream gray;
  page::write_html(gray, sample_analysis());
  EXPECT_THAT(gray.str(), Not(HasSubstr("<dt>Blue layer</dt>")));
}

TEST(ColourFilm, csv_has_the_colour_of_the_light) {
  std::ostringstream out;
  write_csv(out, by_lamplight());
  EXPECT_THAT(out.str(), HasSubstr("blue less green (stops),blue less green low (stops)"));
  EXPECT_THAT(out.str(), HasSubstr("0.8,0.5,1.1,-1.2,-1.5,-0.9"));
}

TEST(ColourFilm, light_is_named_only_where_it_is_far_from_daylight) {
  reading::FrameReading reading;
  EXPECT_EQ(light_colour_text(reading), "");
  reading.light_colour = {between(0.1, -0.2, 0.4), between(-0.1, -0.4, 0.2)};
  EXPECT_THAT(light_colour_text(reading), Not(HasSubstr("lamplight")));
  reading.light_colour = {between(-0.5, -0.8, -0.2), between(0.4, 0.1, 0.7)};
  EXPECT_THAT(light_colour_text(reading), HasSubstr("as in blue shade"));
  // A blue layer on clear film may have got any less: at least so much less than green.
  reading.light_colour->blue = {Stops(-2), {}, Stops(-1.8)};
  EXPECT_THAT(light_colour_text(reading), HasSubstr("got at least 1.8 stops less"));
}

}  // namespace
}  // namespace basefog::report
