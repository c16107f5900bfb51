// SPDX-License-Identifier: GPL-3.0-or-later
#include "basefog/report/film_wording.hpp"

#include <gmock/gmock.h>

namespace basefog::report {
namespace {

using testing::AllOf;
using testing::ElementsAre;
using testing::HasSubstr;
using testing::IsEmpty;

film::FilmTest test_of(double average_gradient) {
  film::FilmTest test;
  test.profile.kind = FilmKind::black_and_white;
  test.layers.push_back({.name = "silver",
                         .speed_point_log_h = {},
                         .average_gradient = {average_gradient, {}, {}},
                         .contrast_index = {},
                         .gamma = {},
                         .delta_x = {},
                         .highlight_limit = {}});
  return test;
}

TEST(DevelopmentText, names_what_is_not_normal_and_what_pushing_makes) {
  EXPECT_EQ(development_text(0.52), "developed softer than normal: average gradient 0.52");
  EXPECT_EQ(development_text(0.62), "developed normally: average gradient 0.62");
  EXPECT_EQ(development_text(0.78), "developed harder than normal: average gradient 0.78");
  EXPECT_EQ(development_text(0.78, Stops(1)),
            "average gradient 0.78, as pushing by 1 stop makes it");
  EXPECT_EQ(development_text(0.52, Stops(1)),
            "developed softer than normal: average gradient 0.52");
}

evidence::SeriesContrast series_of_three() {
  evidence::SeriesContrast contrast{.factor = {1.0, {}, {}},
                                    .series = {},
                                    .film = film::generic_black_and_white(FilmSpeed(400)),
                                    .names = {"1", "2", "3", "4"},
                                    .not_seen = {}};
  contrast.series.push_back({.frames = {0, 1, 2},
                             .logged = {Stops(0), Stops(1), Stops(2)},
                             .left_out = {},
                             .used = true});
  return contrast;
}

TEST(SeriesTexts, say_what_was_used_and_what_was_left_out) {
  evidence::SeriesContrast contrast = series_of_three();
  EXPECT_THAT(series_texts(contrast), ElementsAre("Frames 1, 2, 3 show one view at exposures 2.0 "
                                                  "stops apart and show the film's contrast."));
  contrast.series[0].left_out = {3};
  contrast.not_seen = {0, 3};
  EXPECT_THAT(series_texts(contrast),
              ElementsAre("The log speaks of a series at frames 1, 4, but no two of them show the "
                          "same view at exposures that differ by the log.",
                          HasSubstr("contrast. Frame 4 of that view was left out: its density is "
                                    "not what its logged exposure makes.")));
  contrast.not_seen.clear();
  contrast.series[0].used = false;
  EXPECT_THAT(series_texts(contrast), ElementsAre(HasSubstr("say nothing of the film")));
}

/// A film whose gradient is `contrast` of the generic film's.
roll::Analysis roll_with(std::optional<Stops> push, double contrast, double sigma,
                         film::ContrastSource source) {
  roll::Analysis analysis;
  analysis.film = film::generic_black_and_white(FilmSpeed(400)).with_contrast(contrast);
  analysis.film.contrast_relative_sigma = sigma;
  analysis.film.contrast_source = source;
  analysis.log = log::ShotLog{};
  log::LogRow row;
  row.push = push;
  analysis.log->rows.assign(3, row);
  return analysis;
}

std::string last_of(const roll::Analysis& analysis) {
  const std::vector<std::string> texts = film_texts(analysis);
  return texts.empty() ? "" : texts.back();
}

// 0.80 over 1.30 log H with 0.05 to either side is normal [ISO6], [H740, p. 10]: 0.577 to 0.654.
TEST(FilmTexts, development_apart_from_iso_6_is_told) {
  const std::string softer =
      last_of(roll_with({}, 0.52 / 0.6154, 0.02, film::ContrastSource::series));
  EXPECT_THAT(softer,
              HasSubstr("developed softer than normal: average gradient 0.52 (0.50 to 0.54)"));
  EXPECT_THAT(last_of(roll_with({}, 1.2, 0.02, film::ContrastSource::film_test)),
              HasSubstr("developed harder"));
  EXPECT_THAT(last_of(roll_with({}, 1.0, 0.01, film::ContrastSource::film_test)),
              HasSubstr("developed normally"));
  // Where the interval reaches into normal development nothing is claimed.
  const std::string unsure = last_of(roll_with({}, 0.95, 0.05, film::ContrastSource::series));
  EXPECT_THAT(unsure, HasSubstr("Average gradient 0.58"));
  EXPECT_THAT(unsure, testing::Not(HasSubstr("softer")));
  EXPECT_EQ(last_of(roll_with({}, 0.8, 0.10, film::ContrastSource::generic)), "");
}

TEST(FilmTexts, contrast_of_a_pushed_film_is_no_fault) {
  const std::string pushed = last_of(roll_with(Stops(1), 1.25, 0.02, film::ContrastSource::series));
  EXPECT_THAT(pushed, HasSubstr("as pushing by 1 stop makes it"));
  EXPECT_THAT(pushed, testing::Not(HasSubstr("harder than normal")));
  // A push that shows nowhere is said.
  EXPECT_THAT(last_of(roll_with(Stops(2), 1.0, 0.01, film::ContrastSource::film_test)),
              HasSubstr("although the log asks for pushing by 2 stops"));
  // And the other way round it is development after all.
  EXPECT_THAT(last_of(roll_with(Stops(1), 0.8, 0.02, film::ContrastSource::film_test)),
              HasSubstr("softer"));
}

TEST(FilmTexts, say_what_a_push_was_taken_to_do) {
  const roll::Analysis analysis = roll_with(Stops(1), 1, 0.10, film::ContrastSource::generic);
  EXPECT_THAT(last_of(analysis), HasSubstr("asks for pushing by 1 stop, so the average gradient"));
}

TEST(FilmTestTexts, say_how_the_film_was_developed_and_what_is_missing) {
  film::FilmTest test = test_of(0.52);
  EXPECT_THAT(film_test_texts(test),
              ElementsAre("The film was developed softer than normal: average gradient 0.52."));
  test.steps_missing_at_toe = 1;
  test.steps_missing_at_shoulder = 3;
  test.speed_and_meter = StopsEstimate{Stops(0.4), Stops(0.3), Stops(0.5)};
  EXPECT_THAT(film_test_texts(test),
              ElementsAre(HasSubstr("0.52"), HasSubstr("1 step is missing at the toe: "),
                          HasSubstr("3 steps are missing at the shoulder: "),
                          HasSubstr("film speed and the meter's bias cannot be told apart")));
  test = test_of(0.52);
  test.profile.kind = FilmKind::colour_negative;
  EXPECT_THAT(film_test_texts(test), IsEmpty());
}

TEST(ExposurePairTexts, say_each_pair_and_then_how_many_disagree) {
  film::DevelopmentSeries series;
  series.results.push_back({"6 min", 6.0, {}, test_of(0.6)});
  series.results.push_back({"6 min 3e", 6.0, 3.0, test_of(0.6)});
  series.pairs.push_back({0, 1, 3, {Stops(1.5), Stops(1.4), Stops(1.6)}});
  const char* agrees =
      "'6 min 3e' reads as 1.50 stops (1.40 to 1.60) more exposure than '6 min'; 3 exposures are "
      "1.58 stops.";
  EXPECT_THAT(exposure_pair_texts(series), ElementsAre(agrees));
  series.pairs.push_back({0, 1, 3, {Stops(1.3), Stops(1.2), Stops(1.4)}});
  EXPECT_THAT(exposure_pair_texts(series), ElementsAre(agrees, HasSubstr("reads as 1.30 stops"),
                                                       HasSubstr("1 of 2 such pairs disagree")));
}

TEST(FilmTestFramesTexts, name_each_frame_left_out_with_the_reason) {
  roll::FilmTestFrames frames;
  frames.series.metered_for = FilmSpeed(400);
  frames.left_out = {{"3", roll::Unfit::no_row}, {"7", roll::Unfit::uneven}};
  EXPECT_THAT(film_test_frames_texts(frames),
              ElementsAre("Frame 3 was left out: no row of the log belongs to it.",
                          "Frame 7 was left out: unevenly lit."));
  frames.left_out.clear();
  frames.series.metered_for.reset();
  EXPECT_THAT(film_test_frames_texts(frames),
              ElementsAre(AllOf(HasSubstr("which exposure was the metered one"),
                                HasSubstr("neither film speed nor meter"))));
}

}  // namespace
}  // namespace basefog::report
