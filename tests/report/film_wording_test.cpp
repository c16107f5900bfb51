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
