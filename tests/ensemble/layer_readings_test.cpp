// SPDX-License-Identifier: GPL-3.0-or-later
#include <gtest/gtest.h>

#include <array>
#include <cmath>

#include "basefog/ensemble/roll_reading.hpp"
#include "makers/read_frame.hpp"
#include "makers/tabulated_film.hpp"

namespace basefog::ensemble {
namespace {

using namespace reading;

constexpr int kColumns = 36;
constexpr int kRows = 24;
constexpr double kAimAboveSpeed = 2.52;  // stops, 8.125/S over sqrt(2)/S [ISO5800]

/// Light of a black body [Planck] at the peaks of a colour film's three layers against 5500 K, in
/// stops, green made equal.
std::array<double, 3> black_body(double kelvin) {
  constexpr std::array<double, 3> kPeaks = {650e-9, 550e-9, 450e-9};  // m, about
  constexpr double kSecondConstant = 0.014388;                        // m K
  constexpr double kDaylight = 5500;
  const auto radiance = [](double wavelength, double temperature) {
    return 1 / std::expm1(kSecondConstant / (wavelength * temperature));
  };
  std::array<double, 3> stops{};
  for (std::size_t l = 0; l < 3; ++l) {
    stops[l] = std::log2(radiance(kPeaks[l], kelvin) / radiance(kPeaks[l], kDaylight));
  }
  const double green = stops[1];
  for (double& s : stops) s -= green;
  return stops;
}

/// Places of the three layers in a published film.
TabulatedFilm published(const std::string& name) {
  return read_film("curves/" + name + ".csv", {"R", "G", "B"});
}

/// The film's own speed point: half way between green and the slowest [ISO5800].
double speed_point(const TabulatedFilm& film) {
  double slowest = -10;
  for (std::size_t l = 0; l < 3; ++l) slowest = std::max(slowest, film.log_exposure_at(l, 0.15));
  return (slowest + film.log_exposure_at(1, 0.15)) / 2;
}

/// A gray ramp from left to right, `from` to `to` stops from the aim, in light whose layers get
/// `light` stops more than green.
density::FrameMeasurement photograph(const TabulatedFilm& film, double from, double to,
                                     const std::array<double, 3>& light) {
  const double aim = speed_point(film) + Stops(kAimAboveSpeed).log10();
  std::vector<std::vector<double>> layers(3);
  for (std::size_t l = 0; l < 3; ++l) {
    for (int i = 0; i < kColumns * kRows; ++i) {
      const double stops = from + (to - from) * ((i % kColumns) + 0.5) / kColumns;
      layers[l].push_back(film.density_at(l, aim + Stops(stops + light[l]).log10()));
    }
  }
  return frame_of(kColumns, kRows, layers);
}

FrameReading read(const std::string& film_name, double from, double to,
                  const std::array<double, 3>& light) {
  const TabulatedFilm film = published(film_name);
  return read_frame(photograph(film, from, to, light), base_of(film),
                    film::generic_colour_negative(FilmSpeed(100)), {.film_speed = FilmSpeed(100)},
                    {.pattern = MeteringPattern::average});
}

template <class Point>
bool holds(const Estimate<Point>& estimate, double truth) {
  return (!estimate.low || estimate.low->value() <= truth) &&
         (!estimate.high || truth <= estimate.high->value());
}

TEST(LayerReadings, gray_in_daylight_has_no_colour) {
  for (const char* film : {"E4050", "E4051", "E4046"}) {
    const FrameReading reading = read(film, -2, 2, {0, 0, 0});
    ASSERT_EQ(reading.layers.size(), 3u);
    ASSERT_TRUE(reading.light_colour);
    EXPECT_NEAR(reading.light_colour->red.value.value(), 0, 0.25) << film;
    EXPECT_NEAR(reading.light_colour->blue.value.value(), 0, 0.25) << film;
    EXPECT_TRUE(holds(reading.light_colour->red, 0)) << film;
    EXPECT_TRUE(holds(reading.light_colour->blue, 0)) << film;
    EXPECT_FALSE(reading.flags.contains(Flag::layer_starved)) << film;
  }
}

// 3200 K lamps against 5500 K: red 0.8 stop more, blue 1.1 stops less than green [Planck].
TEST(LayerReadings, lamplight_is_read_between_the_layers) {
  const std::array<double, 3> lamp = black_body(3200);
  EXPECT_NEAR(lamp[0], 0.76, 0.02);
  EXPECT_NEAR(lamp[2], -1.09, 0.02);
  for (const char* film : {"E4050", "E4051", "E4046"}) {
    const FrameReading reading = read(film, -1, 3, lamp);
    ASSERT_TRUE(reading.light_colour);
    EXPECT_NEAR(reading.light_colour->red.value.value(), lamp[0], 0.3) << film;
    EXPECT_NEAR(reading.light_colour->blue.value.value(), lamp[2], 0.3) << film;
    EXPECT_TRUE(holds(reading.light_colour->red, lamp[0])) << film;
    EXPECT_TRUE(holds(reading.light_colour->blue, lamp[2])) << film;
    EXPECT_GT(reading.light_colour->red.low->value(), 0) << film;
    EXPECT_LT(reading.light_colour->blue.high->value(), 0) << film;
  }
}

TEST(LayerReadings, each_layer_is_read_from_its_own_speed_point) {
  const TabulatedFilm film = published("E4050");
  const std::array<double, 3> lamp = black_body(3200);
  const FrameReading reading = read("E4050", -1.5, 3, lamp);
  const double aim = speed_point(film) + Stops(kAimAboveSpeed).log10();
  for (std::size_t l = 0; l < 3; ++l) {
    const LayerReading& layer = reading.layers[l];
    double sum = 0;
    for (int i = 0; i < kColumns; ++i) {
      sum += std::exp2(-1.5 + 4.5 * (i + 0.5) / kColumns + lamp[l]) / kColumns;
    }
    EXPECT_TRUE(holds(layer.exposure, std::log2(sum))) << layer.name;
    EXPECT_NEAR(layer.exposure.value.value(), std::log2(sum), 0.4) << layer.name;
    // The 2nd percentile of the ramp is 2 % of its length above its start.
    const double shadow = aim + Stops(-1.5 + 0.02 * 4.5 + lamp[l]).log10();
    const double reserve = Stops::from_log10(shadow - film.log_exposure_at(l, 0.15)).value();
    EXPECT_TRUE(holds(layer.shadow_reserve, reserve)) << layer.name;
    EXPECT_NEAR(layer.shadow_reserve.value.value(), reserve, 0.4) << layer.name;
    EXPECT_TRUE(layer.highlight_room.low) << layer.name;
  }
}

TEST(LayerReadings, blue_layer_alone_on_clear_film_is_flagged) {
  // A lamp of 2600 K, thinly exposed: green just has its shadows, blue has not.
  const std::array<double, 3> lamp = black_body(2600);
  const FrameReading thin = read("E4050", -2.2, 1, lamp);
  EXPECT_TRUE(thin.flags.contains(Flag::layer_starved));
  EXPECT_FALSE(thin.layers[2].shadow_reserve.value > ExposureAboveSpeedPoint());
  EXPECT_GT(thin.layers[1].shadow_reserve.value, ExposureAboveSpeedPoint());
  // With two stops more no layer is short; with two less all are, which is under-exposure.
  EXPECT_FALSE(read("E4050", -0.2, 3, lamp).flags.contains(Flag::layer_starved));
  EXPECT_FALSE(read("E4050", -5, -2, {0, 0, 0}).flags.contains(Flag::layer_starved));
}

TEST(LayerReadings, channels_that_see_other_dyes_stay_within_the_interval) {
  // A tenth of each layer's net density also in each neighbour's channel, with curves that were
  // measured through the same channels on gray.
  const TabulatedFilm film = published("E4050");
  const std::array<double, 3> lamp = black_body(3200);
  const auto mixed = [&](const density::FrameMeasurement& frame, const TabulatedFilm& of) {
    density::FrameMeasurement result = frame;
    const std::size_t plane = frame.apertures.density.size() / 3;
    for (std::size_t i = 0; i < plane; ++i) {
      std::array<double, 3> net{};
      for (std::size_t l = 0; l < 3; ++l) {
        net[l] = frame.apertures.density[l * plane + i] - kScanZero - of.base[l];
      }
      for (std::size_t l = 0; l < 3; ++l) {
        const double others = net[(l + 1) % 3] + net[(l + 2) % 3];
        result.apertures.density[l * plane + i] =
            static_cast<float>(kScanZero + of.base[l] + (net[l] + 0.1 * others) / 1.2);
      }
    }
    return result;
  };
  const film::FilmProfile generic = film::generic_colour_negative(FilmSpeed(100));
  const FrameReading reading =
      read_frame(mixed(photograph(film, -1, 3, lamp), film), base_of(film), generic,
                 {.film_speed = FilmSpeed(100)}, {.pattern = MeteringPattern::average});
  EXPECT_TRUE(holds(reading.light_colour->red, lamp[0]));
  EXPECT_TRUE(holds(reading.light_colour->blue, lamp[2]));
  EXPECT_LT(std::abs(reading.light_colour->blue.value.value()), std::abs(lamp[2]));
}

TEST(LayerReadings, other_film_has_no_layers) {
  const std::vector<double> one(kColumns * kRows, 0.8);
  const TabulatedFilm film = read_film("densitometer/six_development_times.csv", {"8.5 min"});
  const FrameReading reading =
      read_frame(frame_of(kColumns, kRows, {one}), base_of(film),
                 film::generic_black_and_white(FilmSpeed(100)), {.film_speed = FilmSpeed(100)});
  EXPECT_TRUE(reading.layers.empty());
  EXPECT_FALSE(reading.light_colour);
}

}  // namespace
}  // namespace basefog::ensemble
