// SPDX-License-Identifier: GPL-3.0-or-later
#include "basefog/roll/film_test_frames.hpp"

#include <gtest/gtest.h>

#include <cmath>
#include <random>

#include "basefog/core/error.hpp"
#include "simulator/film.hpp"

namespace basefog::roll {
namespace {

/// A reviewed roll of a grey card at -4 to +4 stops by shutter time, metered at 1/60.
Analysis grey_card(const simulator::Film& film, double uneven) {
  std::mt19937_64 random(4);
  std::normal_distribution<double> normal;
  Analysis analysis;
  analysis.film = film::generic_black_and_white(FilmSpeed(film.iso));
  analysis.aim.film_speed = FilmSpeed(film.iso);
  analysis.log = log::ShotLog{};
  analysis.log->film = "grey card roll";
  for (int stops = -4; stops <= 4; ++stops) {
    log::LogRow row;
    row.frame = std::to_string(stops + 5);
    row.used = {ShutterTime(std::exp2(stops - 6)), FNumber(8)};
    row.compensation = Stops(stops);
    analysis.log->rows.push_back(row);
    FrameResult frame;
    frame.state = stops == -4 ? density::FrameState::blank : density::FrameState::measured;
    frame.measurement.label = row.frame;
    frame.log_row = analysis.log->rows.size() - 1;
    frame.reference = {.kind = density::ReferenceKind::rebate,
                       .density = {Density::from_value(0.35)},
                       .sigma = {DensityDifference(0.002)},
                       .flags = {}};
    density::ApertureGrid& grid = frame.measurement.apertures;
    grid = {.columns = 36,
            .rows = 24,
            .channels = 1,
            .density = {},
            .sigma = {},
            .clipped = {},
            .floored = {}};
    for (int i = 0; i < 36 * 24; ++i) {
      const double log_h = std::log10(8.125 / film.iso) + Stops(stops).log10();
      const double tilt = uneven * (i % 36 - 18) / 18.0;
      grid.density.push_back(
          static_cast<float>(0.35 + film.net_density(log_h) + tilt + 0.01 * normal(random)));
      grid.sigma.push_back(0.01F);
      grid.clipped.push_back(0);
      grid.floored.push_back(0);
    }
    frame.measurement.densest = {Density::from_value(3.5)};
    analysis.frames.push_back(std::move(frame));
  }
  return analysis;
}

TEST(FilmTestFrames, nine_frames_of_a_grey_card_give_speed_and_contrast) {
  const simulator::Film film =
      simulator::black_and_white_film({.iso = 400, .speed_error_stops = 0.4, .rise = 0.72});
  const FilmTestFrames frames = film_test_from_frames(grey_card(film, 0));
  ASSERT_EQ(frames.series.steps.size(), 9u);
  EXPECT_EQ(frames.series.metered_for, FilmSpeed(400));
  const film::FilmTest test = film::calibrate_film(frames.series, FilmKind::black_and_white);
  EXPECT_NEAR(test.layers[0].average_gradient.value / (film.rise() / 1.30), 1, 0.03);
  // The camera cannot tell a faster film from a meter that gives more.
  ASSERT_TRUE(test.speed_and_meter);
  EXPECT_NEAR(test.speed_and_meter->value.value(), 0.4, 0.1);
  const FilmTestFrames trusted = film_test_from_frames(grey_card(film, 0), {.trusted_meter = true});
  const film::FilmTest with_speed = film::calibrate_film(trusted.series, FilmKind::black_and_white);
  EXPECT_NEAR(std::log2(with_speed.profile.iso_speed.iso() / 400), 0.4, 0.1);
}

// [Schwarzschild] with exponent 1.33: 4 s loses (1 - 1/1.33) log2 4 = 0.496 stop, 0.149 in log H,
// by which the film got less than the meter asked for.
TEST(FilmTestFrames, a_test_at_long_times_knows_what_the_film_got) {
  Analysis analysis = grey_card(simulator::black_and_white_film({.iso = 400}), 0);
  analysis.film.reciprocity.exponent = 1.33;
  for (log::LogRow& row : analysis.log->rows) {
    row.used.shutter = ShutterTime(row.used.shutter->seconds() * 256);  // metered at 4 s
  }
  const film::FilmTestSeries series = film_test_from_frames(analysis).series;
  ASSERT_EQ(series.steps.size(), 9u);
  EXPECT_NEAR(series.steps[4].log_h, analysis.aim.log_exposure().log10() - 0.149, 0.001);
}

TEST(FilmTestFrames, uneven_or_missing_frames_are_left_out_with_a_reason) {
  const simulator::Film film = simulator::black_and_white_film({.iso = 400});
  EXPECT_THROW(film_test_from_frames(grey_card(film, 0.3)), InputError);
  Analysis analysis = grey_card(film, 0);
  // A number that no row has: then rows as matched count.
  analysis.log->rows[2].frame = "3a";
  analysis.frames[2].log_row.reset();
  analysis.frames[3].reference.kind = density::ReferenceKind::none;
  const FilmTestFrames frames = film_test_from_frames(analysis);
  EXPECT_EQ(frames.series.steps.size(), 7u);
  ASSERT_EQ(frames.left_out.size(), 2u);
  EXPECT_EQ(frames.left_out[0].frame, "3");
  EXPECT_EQ(frames.left_out[0].why, Unfit::no_row);
  EXPECT_EQ(frames.left_out[1].why, Unfit::no_density_zero);
}

// Frames of one card look alike, so matching by exposure may slip by a row; numbers do not.
TEST(FilmTestFrames, numbers_of_frames_and_rows_count_more_than_matching) {
  const simulator::Film film = simulator::black_and_white_film({.iso = 400});
  Analysis slipped = grey_card(film, 0);
  slipped.frames[0].log_row.reset();
  for (std::size_t i = 1; i < 9; ++i) slipped.frames[i].log_row = i - 1;
  const film::FilmTestSeries right = film_test_from_frames(grey_card(film, 0)).series;
  const film::FilmTestSeries found = film_test_from_frames(slipped).series;
  ASSERT_EQ(found.steps.size(), 9u);
  for (std::size_t i = 0; i < 9; ++i) EXPECT_EQ(found.steps[i].log_h, right.steps[i].log_h);
}

// The thinnest frames cannot be told from the film around them: their scans have no rebate.
TEST(FilmTestFrames, frame_without_rebate_takes_the_rolls_density_zero) {
  const simulator::Film film = simulator::black_and_white_film({.iso = 400});
  Analysis analysis = grey_card(film, 0);
  for (FrameResult& frame : analysis.frames) frame.measurement.rebate = frame.reference;
  analysis.frames[0].measurement.rebate = {};
  analysis.frames[0].reference = {};
  analysis.frames[0].state = density::FrameState::no_reference;
  EXPECT_EQ(film_test_from_frames(analysis).series.steps.size(), 9u);
}

}  // namespace
}  // namespace basefog::roll
