// SPDX-License-Identifier: GPL-3.0-or-later
// The ruler of zones under a frame's histogram, held against the standards that place its marks.
#include <gmock/gmock.h>
#include <gtest/gtest.h>

#include <map>
#include <regex>
#include <string>

#include "makers/sample_analysis.hpp"
#include "page/far_frames.hpp"
#include "page/svg_charts.hpp"

namespace basefog::page {
namespace {

/// Where each text of a chart stands, in pixels from the left.
std::map<std::string, double> places_of(const std::string& svg) {
  std::map<std::string, double> places;
  const std::regex text("<text[^>]* x=\"([0-9.]+)\"[^>]*>([^<]+)</text>");
  for (std::sregex_iterator it(svg.begin(), svg.end(), text), end; it != end; ++it) {
    places.emplace((*it)[2], std::stod((*it)[1]));
  }
  return places;
}

/// The histogram of an even grey on a film, with the film's own marks.
std::map<std::string, double> ruler_for(const film::FilmProfile& film) {
  reading::FrameReading reading;
  const ExposureAboveSpeedPoint aim =
      above_speed_point(Aim{.film_speed = film.iso_speed}.log_exposure(), film.speed_point());
  reading.histogram = {.first = ExposureFromAim(-0.125), .width = Stops(0.25), .share = {1}};
  reading.histogram.speed_point = from_aim(ExposureAboveSpeedPoint(), aim);
  reading.histogram.highlight_limit = ExposureFromAim(5);
  return places_of(histogram_chart(reading));
}

constexpr const char* kZones[] = {"0", "I", "II", "III", "IV", "V", "VI", "VII", "VIII", "IX", "X"};

// A meter renders what it reads as zone V, and a zone is a stop [Adams].
TEST(ZoneRuler, the_aim_is_the_middle_of_zone_five_and_a_zone_is_a_stop) {
  const auto places = ruler_for(film::generic_black_and_white(FilmSpeed(400)));
  EXPECT_NEAR(places.at("aim"), places.at("V"), 0.1);
  const double stop = (places.at("X") - places.at("0")) / 10;
  for (int zone = 0; zone <= 10; ++zone) {
    EXPECT_NEAR(places.at(kZones[zone]), places.at("V") + (zone - 5) * stop, 0.11) << kZones[zone];
  }
}

// The aim 8.125/S [PhotrioMeter] lies 3.34 stops above 0.8/S [ISO6], so that the speed point stands
// between zones I and II; a photographer who rates the film three quarters of a stop lower puts
// zone I there, as the ladder of [ZoneLadder] does, where density 0.10 lies 4.11 stops below V.
TEST(ZoneRuler, the_speed_point_stands_where_ISO6_puts_it) {
  for (double speed : {25.0, 400.0, 3200.0}) {
    const auto places = ruler_for(film::generic_black_and_white(FilmSpeed(speed)));
    const double stop = (places.at("X") - places.at("0")) / 10;
    EXPECT_NEAR((places.at("aim") - places.at("speed point")) / stop, 3.34, 0.01);
    const double lower_rating = 4.11 - 3.34;
    EXPECT_NEAR((places.at("speed point") - places.at("I")) / stop - lower_rating, -0.11, 0.02)
        << "the ladder has density 0.10 at zone 0.89";
  }
}

// 8.125/S over 1.414/S [ISO5800].
TEST(ZoneRuler, of_colour_film_has_its_own_speed_point) {
  const auto places = ruler_for(film::generic_colour_negative(FilmSpeed(200)));
  const double stop = (places.at("X") - places.at("0")) / 10;
  EXPECT_NEAR((places.at("aim") - places.at("speed point")) / stop, 2.52, 0.01);
}

TEST(BiasCharts, scenes_are_grouped_by_word_with_the_models_level) {
  roll::Analysis analysis = sample_analysis();
  std::size_t with_technique = 0;
  for (roll::FrameResult& frame : analysis.frames) {
    if (!frame.technique || !frame.log_row) continue;
    // A bound and a row that may be another's have no place in the chart.
    if (!frame.reading->correction.estimate.two_sided() || !frame.deviation->two_sided()) continue;
    if (frame.flags.contains(Flag::match_doubtful)) continue;
    analysis.log->rows[*frame.log_row].scene = with_technique++ == 0 ? "Snow, people" : "snow";
  }
  ASSERT_GE(with_technique, 2u);
  analysis.techniques = {{.scene = "snow",
                          .stops = {Stops(1.5), Stops(1), Stops(2)},
                          .frames = static_cast<int>(with_technique)}};
  const auto groups = groups_by_scene(analysis);
  ASSERT_EQ(groups.size(), 2u);
  EXPECT_EQ(groups[0].name, "people");
  EXPECT_EQ(groups[0].stops.size(), 1u);
  EXPECT_FALSE(groups[0].level.has_value());
  EXPECT_EQ(groups[1].name, "Snow");
  EXPECT_EQ(groups[1].stops.size(), with_technique);
  ASSERT_TRUE(groups[1].level.has_value());
  EXPECT_THAT(scene_chart(groups, "By scene"), ::testing::HasSubstr("Snow: +1.5 (+1.0 to +2.0)"));
}

TEST(BiasCharts, speeds_lie_at_the_bias_and_what_the_speed_adds) {
  const roll::Analysis analysis = sample_analysis();
  std::size_t compared = 0;
  for (const BiasGroup& group : groups_by_shutter(analysis)) {
    for (const meter::BiasEffect& effect : analysis.meter->effects) {
      if (effect.factor != meter::BiasFactor::shutter || effect.level != group.name) continue;
      ++compared;
      ASSERT_TRUE(group.level.has_value());
      EXPECT_NEAR((group.level->value - analysis.meter->bias->value).value(),
                  effect.stops.value.value(), 1e-12);
    }
  }
  EXPECT_EQ(compared, 3u) << "1/30, 1/125 and 1/500";
}

TEST(BiasCharts, bounds_and_doubtful_rows_have_no_dot) {
  roll::Analysis analysis = sample_analysis();
  const auto dots = [&analysis] {
    std::size_t all = 0;
    for (const auto& group : groups_by_aperture(analysis)) all += group.stops.size();
    return all;
  };
  const std::size_t before = dots();
  analysis.frames[1].deviation->high.reset();
  EXPECT_EQ(dots(), before - 1);
  analysis.frames[2].deviation->low.reset();
  analysis.frames[2].deviation->high.reset();
  EXPECT_EQ(dots(), before - 2);
  analysis.frames[3].flags.insert(Flag::match_doubtful);
  EXPECT_EQ(dots(), before - 3);
}

// A colour is lost as soon as one layer is.
TEST(CurveChart, the_highlight_limit_is_that_of_the_layer_that_ends_first) {
  roll::Analysis analysis = sample_colour_analysis();
  // The generic film's shoulder lies beyond the chart.
  for (film::FilmLayer& layer : analysis.film.layers) {
    layer.curve = layer.curve.with_shoulder(Stops(-4));
  }
  const auto limit = [&analysis] { return places_of(curve_chart(analysis)).at("highlight limit"); };
  const double before = limit();
  analysis.film.layers[0].curve = analysis.film.layers[0].curve.with_shoulder(Stops(-2));
  const double stop = 688.0 / 13;  // from -6 to +7 stops, in pixels
  EXPECT_NEAR(before - limit(), 2 * stop, 5);
}

TEST(CurveChart, a_frame_whose_exposure_is_not_known_is_not_drawn) {
  roll::Analysis analysis = sample_colour_analysis();
  const auto dots = [](const std::string& svg) {
    std::size_t count = 0;
    for (std::size_t at = svg.find("\"dot\""); at != std::string::npos;
         at = svg.find("\"dot\"", at + 1)) {
      ++count;
    }
    return count;
  };
  // Each frame on the curve, and in its row below.
  EXPECT_EQ(dots(curve_chart(analysis)), 2 * 3u);
  analysis.frames[1].reading->exposure.estimate = {};
  EXPECT_EQ(dots(curve_chart(analysis)), 2 * 2u);
}

/// The height of the outermost band where the chart ends, in pixels.
double fan_height(const std::string& svg) {
  const std::size_t at = svg.find("class=\"fan\" d=\"M");
  const std::string path = svg.substr(at, svg.find('z', at) - at);
  double least = 1e9, most = -1e9;
  for (std::size_t place = path.find("750.0 "); place != std::string::npos;
       place = path.find("750.0 ", place + 1)) {
    const double y = std::stod(path.substr(place + 6));
    least = std::min(least, y);
    most = std::max(most, y);
  }
  return most - least;
}

TEST(CurveChart, is_as_wide_as_the_film_is_unknown) {
  roll::Analysis analysis = sample_analysis();
  const double generic = fan_height(curve_chart(analysis));
  EXPECT_GT(generic, 10);
  // Twice every doubt is twice the band, to first order.
  analysis.film.contrast_relative_sigma *= 0.5;
  analysis.film.toe_sigma_stops *= 0.5;
  analysis.film.shoulder_sigma_stops *= 0.5;
  analysis.film.speed_sigma_stops *= 0.5;
  EXPECT_NEAR(fan_height(curve_chart(analysis)) / generic, 0.5, 0.08);
}

TEST(FarFrames, say_why_once_a_frame) {
  roll::Analysis analysis = sample_analysis();
  const auto groups = [](double level, double stops) {
    return std::vector<BiasGroup>{
        {.name = "f/16",
         .frames = {1},
         .names = {"1"},
         .stops = {stops},
         .level = StopsEstimate{Stops(level), Stops(level), Stops(level)}}};
  };
  const double bias = analysis.meter->bias->value.value();
  const auto texts = [&](double value, double half, double by_speed, double by_stop) {
    analysis.frames[1].deviation =
        StopsEstimate{Stops(value), Stops(value - half), Stops(value + half)};
    return far_frame_texts(analysis, std::array{groups(by_speed, value), groups(by_stop, value)});
  };
  EXPECT_TRUE(texts(bias + 0.4, 0.2, bias, bias).empty()) << "not far";
  using ::testing::ElementsAre;
  using ::testing::HasSubstr;
  EXPECT_THAT(texts(bias + 1, 1.2, bias, bias),
              ElementsAre(HasSubstr("own range reaches: frame ")));
  EXPECT_THAT(texts(bias + 1, 0.2, bias, bias), ElementsAre(HasSubstr("no reason that the log")));
  EXPECT_THAT(texts(bias + 1, 0.2, bias, bias + 0.8), ElementsAre(HasSubstr("the error of f/16")));
}

// Student's t for 2 degrees of freedom is 4.303 [GUM, table G.2]; of 1, 2, 3 the mean's standard
// deviation is 1/sqrt(3).
TEST(BiasCharts, light_levels_carry_the_interval_of_their_mean) {
  roll::Analysis analysis = sample_analysis();
  int given = 0;
  for (roll::FrameResult& frame : analysis.frames) {
    frame.scene_ev.reset();
    if (!frame.deviation || !frame.log_row || given == 3) continue;
    frame.scene_ev = StopsEstimate{Stops(13), Stops(12), Stops(14)};
    frame.deviation->value = Stops(++given);
  }
  ASSERT_EQ(given, 3);
  const auto groups = groups_by_light(analysis);
  ASSERT_EQ(groups.size(), 1u);
  EXPECT_EQ(groups[0].name, "12 to 14");
  ASSERT_TRUE(groups[0].level.has_value());
  EXPECT_NEAR(groups[0].level->value.value(), 2, 1e-12);
  EXPECT_NEAR(groups[0].level->high->value() - 2, 4.303 / std::sqrt(3), 0.08)
      << "the expansion is short by a thirtieth at so few frames";
}

}  // namespace
}  // namespace basefog::page
