// SPDX-License-Identifier: GPL-3.0-or-later
#include "basefog/memory/kept_roll.hpp"

#include <gtest/gtest.h>

#include <cmath>

#include "makers/tabulated_film.hpp"

namespace basefog::memory {
namespace {

using enum film::FilmParameter;

const film::FilmProfile kForm = film::generic_black_and_white(FilmSpeed(100));
const Aim kAim{.film_speed = FilmSpeed(100)};

FilmLesson lesson(const std::string& roll, double log_contrast, double sigma) {
  FilmLesson one{.roll = roll,
                 .use = {.film = "Harbour Pan 100", .developed = "12 min at 20 C"},
                 .film_speed = FilmSpeed(100),
                 .form = film::fingerprint(kForm),
                 .profile = std::make_shared<film::FilmProfile>(kForm)};
  one.evidence.information[contrast][contrast] = 1 / (sigma * sigma);
  one.evidence.toward[contrast] = log_contrast / (sigma * sigma);
  return one;
}

/// Six ramps on one film at one published time of development, dense ones among them.
struct Ramps {
  std::vector<density::FrameMeasurement> frames;
  density::FilmBase base;
  std::vector<ensemble::FrameToRead> to_read;

  Ramps() {
    const TabulatedFilm film = read_film("densitometer/six_development_times.csv", {"12 min"});
    base = base_of(film);
    for (int f = 0; f < 6; ++f) {
      std::vector<double> density;
      for (int i = 0; i < 864; ++i) {
        density.push_back(film.density_at(0, film.log_exposure_at(0, 0.1) + 0.2 * f + i / 600.0));
      }
      frames.push_back(frame_of(36, 24, {density}));
    }
    for (const auto& frame : frames) to_read.push_back({.measurement = &frame, .base = &base});
  }
};

/// The roll as it was reviewed before anything else of its film was known.
KeptRoll first_reading(const Ramps& ramps) {
  const ensemble::RollReading read = ensemble::read_roll(ramps.to_read, kForm, kAim);
  KeptRoll kept{.roll = {.name = "first", .film = "Harbour Pan 100"},
                .film = {.lesson = lesson("first", 0, 1)}};
  kept.film.log_contrast_sigma = kForm.contrast_relative_sigma;
  for (std::size_t f = 0; f < read.frames.size(); ++f) {
    const auto& reading = read.frames[f];
    const std::size_t place = f + 2;  // two frames before it were not read
    kept.film.frames.push_back({place,
                                {read.kept[f], {}},
                                reading.exposure.estimate.value,
                                reading.correction.estimate.value});
    meter::DeviationSample sample{.deviation = in_stops(reading.exposure.estimate.value)};
    sample.sigma = 0.1;
    sample.place = place;
    sample.shared[reading::ErrorCause::contrast] = 0.4;
    kept.roll.deviations.push_back(sample);
    meter::TechniqueSample technique{.technique = Stops(0), .place = place};
    kept.roll.techniques.push_back(technique);
  }
  kept.roll.deviations.push_back({.deviation = Stops(9)});  // of a frame that was not kept
  return kept;
}

TEST(KeptRoll, reads_again_as_a_film_known_better_would_have_read_it) {
  const Ramps ramps;
  const KeptRoll before = first_reading(ramps);
  const std::vector<FilmLesson> lessons = {lesson("first", 0, 1), lesson("second", 0.2, 0.02),
                                           lesson("third", 0.2, 0.02)};
  const auto now = read_again(before, lessons);
  ASSERT_TRUE(now);

  const std::vector<FilmLesson> others = {lessons[1], lessons[2]};
  const FilmMemory memory = recall(others, before.film.lesson.use, kForm);
  film::FilmProfile film = film::believed(kForm, memory.roll);
  const ensemble::RollReading wanted = ensemble::read_roll(ramps.to_read, film, kAim);
  for (std::size_t f = 0; f < 6; ++f) {
    const auto& reading = wanted.frames[f];
    EXPECT_NEAR(now->roll.deviations[f].deviation.value(), reading.exposure.estimate.value.value(),
                0.02);
    EXPECT_NEAR(now->roll.deviations[f].shared[reading::ErrorCause::contrast],
                reading.exposure.budget[reading::ErrorCause::contrast], 0.02);
    EXPECT_EQ(now->roll.deviations[f].sigma, 0.1);
    const double moved =
        (reading.exposure.estimate.value - before.film.frames[f].exposure).value() +
        (reading.correction.estimate.value - before.film.frames[f].correction).value();
    EXPECT_NEAR(now->roll.techniques[f].technique.value(), moved, 0.05);
  }
  EXPECT_EQ(now->roll.deviations[6].deviation, Stops(9));
  EXPECT_EQ(now->film.lesson, before.film.lesson) << "what the roll said stays";
  EXPECT_NEAR(now->film.log_contrast, memory.roll.mean[contrast], 1e-9);
}

TEST(KeptRoll, is_left_alone_where_hardly_anything_changed) {
  const Ramps ramps;
  const KeptRoll before = first_reading(ramps);
  EXPECT_FALSE(read_again(before, std::vector{lesson("first", 0.3, 0.01)}))
      << "its own word is no news";
  const std::vector<FilmLesson> lessons = {lesson("second", 0.2, 0.02)};
  const auto now = read_again(before, lessons);
  ASSERT_TRUE(now);
  EXPECT_FALSE(read_again(*now, lessons));
}

TEST(KeptRoll, frames_that_cannot_be_read_leave_it_as_it_was) {
  const Ramps ramps;
  KeptRoll before = first_reading(ramps);
  before.film.frames[3].frame.bytes = "damaged";
  EXPECT_FALSE(read_again(before, std::vector{lesson("second", 0.2, 0.02)}));
}

}  // namespace
}  // namespace basefog::memory
