// SPDX-License-Identifier: GPL-3.0-or-later
// What must hold of readings whatever the picture, on generated ones.
#include <gtest/gtest.h>

#include <algorithm>
#include <cmath>
#include <random>
#include <vector>

#include "basefog/ensemble/roll_reading.hpp"
#include "makers/read_frame.hpp"
#include "makers/tabulated_film.hpp"

namespace basefog::ensemble {
namespace {

constexpr int kColumns = 24;
constexpr int kRows = 16;
constexpr unsigned kPictures = 3;

/// A picture in stops above the speed point: two tones of random size and place, and texture.
std::vector<double> picture(unsigned seed) {
  std::mt19937 random(seed);
  std::uniform_real_distribution<> tone(-0.5, 6);
  std::normal_distribution<> texture(0, 0.4);
  const double ground = tone(random);
  const double sky = tone(random);
  const auto horizon = static_cast<int>(random() % kRows);
  std::vector<double> stops;
  for (int i = 0; i < kColumns * kRows; ++i) {
    stops.push_back((i / kColumns < horizon ? sky : ground) + texture(random));
  }
  return stops;
}

/// Sheet film, ISO 6 development within 0.01: 8.5 minutes [StepWedge].
const TabulatedFilm& sheet_film() {
  static const TabulatedFilm film =
      read_film("densitometer/six_development_times.csv", {"8.5 min"});
  return film;
}

/// The picture on that film, with so much more exposure, through a scanner whose zero lies there.
density::FrameMeasurement photograph(const std::vector<double>& stops, double more = 0) {
  const double speed_point = sheet_film().log_exposure_at(0, 0.10);
  std::vector<double> density;
  for (const double x : stops) {
    density.push_back(sheet_film().density_at(0, speed_point + Stops(x + more).log10()));
  }
  return frame_of(kColumns, kRows, {density});
}

reading::FrameReading read(const density::FrameMeasurement& frame, const density::FilmBase& base,
                           const film::FilmProfile& film) {
  reading::ReadingOptions options;
  options.pattern = MeteringPattern::average;
  return read_frame(frame, base, film, {.film_speed = FilmSpeed(100)}, options);
}
reading::FrameReading read(const density::FrameMeasurement& frame) {
  return read(frame, base_of(sheet_film()), film::generic_black_and_white(FilmSpeed(100)));
}

std::vector<double> answers(const reading::FrameReading& reading) {
  return {reading.exposure.estimate.value.value(), reading.shadow_reserve.estimate.value.value(),
          reading.highlight_reach.estimate.value.value(),
          reading.correction.estimate.value.value()};
}

void expect_same(const reading::FrameReading& a, const reading::FrameReading& b, double within) {
  const std::vector<double> one = answers(a);
  const std::vector<double> other = answers(b);
  for (std::size_t i = 0; i < one.size(); ++i) EXPECT_NEAR(one[i], other[i], within) << i;
}

double width(const reading::FrameReading& reading) {
  const auto& exposure = reading.exposure.estimate;
  return (*exposure.high - *exposure.low).value();
}

TEST(ReadingProperties, more_exposure_is_never_read_as_less_nor_as_needing_more) {
  for (unsigned seed = 1; seed <= kPictures; ++seed) {
    const std::vector<double> scene = picture(seed);
    std::vector<double> before = answers(read(photograph(scene, -2)));
    for (const double more : {-1.0, 0.0, 1.0, 2.0}) {
      const std::vector<double> after = answers(read(photograph(scene, more)));
      for (std::size_t i = 0; i < 3; ++i) EXPECT_GE(after[i], before[i] - 0.05) << seed << i;
      // On the flat end of the curve what is hidden is drawn: a tenth of a stop, a twentieth above.
      EXPECT_LE(after[3], before[3] + 0.1) << seed << ", at " << more;
      before = after;
    }
  }
}

TEST(ReadingProperties, a_brighter_scan_of_the_same_film_changes_nothing) {
  for (unsigned seed = 1; seed <= kPictures; ++seed) {
    const density::FrameMeasurement frame = photograph(picture(seed));
    density::FrameMeasurement brighter = frame;
    density::FilmBase base = base_of(sheet_film());
    const DensityDifference lighter(-0.06);
    for (float& density : brighter.apertures.density)
      density += static_cast<float>(lighter.value());
    for (Density& densest : brighter.densest) densest = densest + lighter;
    base.density[0] = base.density[0] + lighter;
    expect_same(read(frame), read(brighter, base, film::generic_black_and_white(FilmSpeed(100))),
                1e-3);
  }
}

TEST(ReadingProperties, a_picture_mirrored_or_upside_down_reads_the_same) {
  for (unsigned seed = 1; seed <= kPictures; ++seed) {
    std::vector<double> scene = picture(seed);
    const reading::FrameReading upright = read(photograph(scene));
    std::ranges::reverse(scene);
    expect_same(upright, read(photograph(scene)), 1e-3);
    for (int y = 0; y < kRows; ++y) {
      std::reverse(scene.begin() + y * kColumns, scene.begin() + (y + 1) * kColumns);
    }
    expect_same(upright, read(photograph(scene)), 1e-3);
  }
}

TEST(ReadingProperties, intervals_widen_with_any_doubt) {
  const density::FilmBase base = base_of(sheet_film());
  const film::FilmProfile film = film::generic_black_and_white(FilmSpeed(100));
  for (unsigned seed = 1; seed <= kPictures; ++seed) {
    density::FrameMeasurement frame = photograph(picture(seed));
    frame.light_known = true;
    frame.response.relative_sigma = 0.01;
    const double sure = width(read(frame, base, film));
    EXPECT_GE(width(read(frame, base_of(sheet_film(), 0.03), film)), 0.99 * sure)
        << "base " << seed;
    density::FrameMeasurement through = frame;
    through.response.relative_sigma = 0.15;
    EXPECT_GT(width(read(through, base, film)), 1.02 * sure) << "response " << seed;
    film::FilmProfile unknown = film;
    unknown.contrast_relative_sigma = 0.3;
    EXPECT_GT(width(read(frame, base, unknown)), 1.02 * sure) << "contrast " << seed;
  }
}

}  // namespace
}  // namespace basefog::ensemble
