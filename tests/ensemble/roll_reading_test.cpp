// SPDX-License-Identifier: GPL-3.0-or-later
// Rolls on films by their tables, developed otherwise than the generic film is.
#include "basefog/ensemble/roll_reading.hpp"

#include <gtest/gtest.h>

#include <array>
#include <cmath>
#include <random>

#include "makers/tabulated_film.hpp"

namespace basefog::ensemble {
namespace {

constexpr int kColumns = 36;
constexpr int kRows = 24;

/// A roll of ramps with what was asked of each frame and what it got, stops from the aim.
struct Roll {
  std::vector<density::FrameMeasurement> frames;
  density::FilmBase base;
  std::vector<double> truth;
  std::vector<double> asked;
};

Roll roll_on(const TabulatedFilm& film, int count, double bias, unsigned seed) {
  std::minstd_rand random(seed);
  std::weibull_distribution<double> range(3, 5.2 / std::tgamma(1 + 1 / 3.0));
  std::normal_distribution<double> scatter(bias, 0.2);
  std::uniform_real_distribution<double> dialled(-1, 1);
  const ExposureAboveSpeedPoint aim =
      above_speed_point(Aim{.film_speed = FilmSpeed(100)}.log_exposure(),
                        film::generic_black_and_white(FilmSpeed(100)).speed_point());
  const double speed_point = film.log_exposure_at(0, 0.10);
  Roll roll{.base = base_of(film)};
  for (int f = 0; f < count; ++f) {
    roll.asked.push_back(dialled(random));
    roll.truth.push_back(roll.asked.back() + scatter(random));
    const double whole = range(random) / 0.96;
    std::vector<double> stops;
    double mean = 0;
    for (int i = 0; i < kColumns * kRows; ++i) {
      stops.push_back(whole * ((i + 0.5) / (kColumns * kRows) - 0.5));
      mean += std::exp2(stops.back()) / (kColumns * kRows);
    }
    const double middle = aim.value() + roll.truth.back() - std::log2(mean);
    std::vector<double> density;
    for (const double s : stops) {
      density.push_back(film.density_at(0, speed_point + (middle + s) * kLog10PerStop));
    }
    roll.frames.push_back(frame_of(kColumns, kRows, {density}));
  }
  return roll;
}

RollReading read(const Roll& roll, bool with_log) {
  std::vector<FrameToRead> frames;
  for (std::size_t f = 0; f < roll.frames.size(); ++f) {
    frames.push_back({.measurement = &roll.frames[f],
                      .base = &roll.base,
                      .options = {.pattern = MeteringPattern::average}});
    if (with_log) frames.back().asked = ExposureFromAim(roll.asked[f]);
  }
  return read_roll(frames, film::generic_black_and_white(FilmSpeed(100)),
                   {.film_speed = FilmSpeed(100)});
}

struct Score {
  double rms = 0;
  double held = 0;
};
Score score(const Roll& roll, const RollReading& reading) {
  Score result;
  const auto count = static_cast<double>(roll.truth.size());
  for (std::size_t f = 0; f < roll.truth.size(); ++f) {
    const StopsEstimate estimate = in_stops(reading.frames[f].exposure.estimate);
    const double error = estimate.value.value() - roll.truth[f];
    result.rms += error * error / count;
    const bool holds =
        estimate.low->value() <= roll.truth[f] && roll.truth[f] <= estimate.high->value();
    result.held += holds ? 1.0 / count : 0;
  }
  result.rms = std::sqrt(result.rms);
  return result;
}

// The film's speed is as on its box here, so that intervals, which allow for a speed that is not,
// hold nearly always.
TEST(RollReading, agreement_with_the_log_finds_the_film) {
  double with_log = 0;
  double without = 0;
  double held = 0;
  int rolls = 0;
  for (const char* time : {"6 min", "8.5 min", "12 min"}) {
    const TabulatedFilm film = read_film("densitometer/six_development_times.csv", {time});
    for (unsigned seed = 1; seed <= 3; ++seed) {
      const Roll roll = roll_on(film, 16, 0.2, seed);
      const RollReading reading = read(roll, true);
      const Score logged = score(roll, reading);
      EXPECT_GT(reading.effective, 4) << time << ", seed " << seed;
      with_log += logged.rms;
      held += logged.held;
      without += score(roll, read(roll, false)).rms;
      ++rolls;
    }
  }
  EXPECT_LT(with_log / rolls, 0.36);
  EXPECT_LT(with_log, without);
  EXPECT_GE(held / rolls, 0.92);
}

double exposure_of(const reading::FrameReading& reading) {
  return reading.exposure.estimate.value.value();
}

TEST(RollReading, both_ends_are_there_and_verdicts_have_a_chance) {
  const TabulatedFilm film = read_film("densitometer/six_development_times.csv", {"8.5 min"});
  Roll roll = roll_on(film, 3, 0, 7);
  // One frame far under on clear film, one beyond the table.
  roll.frames.push_back(
      frame_of(kColumns, kRows, {std::vector<double>(kColumns * kRows, film.base[0])}));
  roll.frames.push_back(frame_of(
      kColumns, kRows, {std::vector<double>(kColumns * kRows, film.density[0].back() + 1)}));
  const RollReading reading = read(roll, false);
  ASSERT_EQ(reading.frames.size(), 5U);
  const auto expect_two_ends = [](const auto& answer) {
    ASSERT_TRUE(answer.estimate.two_sided());
    EXPECT_TRUE(std::isfinite(answer.estimate.low->value()));
    EXPECT_TRUE(std::isfinite(answer.estimate.high->value()));
    EXPECT_LE(*answer.estimate.low, answer.estimate.value);
    EXPECT_LE(answer.estimate.value, *answer.estimate.high);
  };
  for (const reading::FrameReading& frame : reading.frames) {
    expect_two_ends(frame.exposure);
    expect_two_ends(frame.shadow_reserve);
    expect_two_ends(frame.highlight_reach);
    expect_two_ends(frame.highlight_room);
    expect_two_ends(frame.correction);
    EXPECT_GT(frame.verdict_chance, 0.2);
    EXPECT_LE(frame.verdict_chance, 1 + 1e-9);
  }
  EXPECT_EQ(reading.frames[3].verdict, reading::Verdict::strongly_under);
  EXPECT_EQ(reading.frames[4].verdict, reading::Verdict::strongly_over);
}

TEST(RollReading, takes_gray_and_colour_scans_of_one_film) {
  const TabulatedFilm film = read_film("curves/E4050.csv", {"R", "G", "B"});
  std::vector<std::vector<double>> layers;
  for (std::size_t l = 0; l < 3; ++l) {
    layers.emplace_back(kColumns * kRows, film.density_at(l, -1.6));
  }
  const density::FilmBase base = base_of(film);
  density::FilmBase gray = base;
  gray.density = {base.density[1]};
  gray.sigma = {base.sigma[1]};
  const density::FrameMeasurement in_colour = frame_of(kColumns, kRows, layers);
  const density::FrameMeasurement in_gray = frame_of(kColumns, kRows, {layers[1]});
  const std::array<FrameToRead, 2> frames = {FrameToRead{.measurement = &in_colour, .base = &base},
                                             FrameToRead{.measurement = &in_gray, .base = &gray}};
  const RollReading reading = read_roll(frames, film::generic_colour_negative(FilmSpeed(400)),
                                        {.film_speed = FilmSpeed(400)});
  ASSERT_EQ(reading.frames.size(), 2U);
  EXPECT_NEAR(exposure_of(reading.frames[0]), exposure_of(reading.frames[1]), 0.3);
}

TEST(RollReading, is_the_same_on_every_run) {
  const TabulatedFilm film = read_film("densitometer/six_development_times.csv", {"8.5 min"});
  const Roll roll = roll_on(film, 4, 0, 2);
  const RollReading first = read(roll, true);
  const RollReading second = read(roll, true);
  for (std::size_t f = 0; f < first.frames.size(); ++f) {
    EXPECT_EQ(exposure_of(first.frames[f]), exposure_of(second.frames[f]));
    EXPECT_EQ(first.frames[f].exposure.estimate.low, second.frames[f].exposure.estimate.low);
    EXPECT_EQ(first.frames[f].correction.estimate.high, second.frames[f].correction.estimate.high);
  }
}

TEST(RollReading, of_no_frames_is_empty) {
  EXPECT_TRUE(
      read_roll({}, film::generic_black_and_white(FilmSpeed(100)), {.film_speed = FilmSpeed(100)})
          .frames.empty());
}

}  // namespace
}  // namespace basefog::ensemble
