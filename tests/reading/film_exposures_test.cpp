// SPDX-License-Identifier: GPL-3.0-or-later
#include "reading/film_exposures.hpp"

#include <gtest/gtest.h>

#include <cmath>
#include <random>
#include <vector>

namespace basefog::reading {
namespace {

const film::FilmProfile kFilm = film::generic_black_and_white(FilmSpeed(100));

/// One layer, one part an aperture, all but free of noise.
NetDensities densities_of(const std::vector<double>& density) {
  NetDensities all{.columns = static_cast<int>(density.size()), .rows = 1};
  LayerDensities& layer = all.layers.emplace_back();
  layer.density = density;
  layer.parts.assign(density.begin(), density.end());
  layer.sigma.assign(density.size(), 0.0);
  layer.beyond.assign(density.size(), 0);
  return all;
}

void expect_same(const FilmExposures& a, const FilmExposures& b) {
  for (std::size_t i = 0; i < a.above_speed.size(); ++i) {
    EXPECT_NEAR(a.above_speed[i], b.above_speed[i], 0.003) << i;
    EXPECT_NEAR(std::log2(a.exposure[i] / b.exposure[i]), 0, 0.003) << i;
  }
}

TEST(InverseCurve, agrees_with_the_curve) {
  for (const film::FilmProfile& film :
       {film::generic_black_and_white(FilmSpeed(400)), film::generic_chromogenic(FilmSpeed(400)),
        film::generic_colour_negative(FilmSpeed(400))}) {
    for (const film::FilmLayer& layer : film.layers) {
      const film::CharacteristicCurve& curve = layer.curve;
      const InverseCurve inverse(curve, film, {});
      const double least = curve.density(curve.lowest()).value();
      const double most = curve.density(curve.highest()).value();
      for (int i = 0; i <= 2000; ++i) {
        const double density = least + (most - least) * i / 2000;
        EXPECT_NEAR(inverse.above_speed(density), curve.exposure(NetDensity(density)).value(),
                    0.005)
            << film.name << ", " << layer.name << ", " << density;
      }
    }
  }
}

/// An error assumed is what such a base, response or film would have read.
TEST(FilmExposures, under_an_error_are_those_of_what_it_says) {
  const std::vector<double> seen = {0.15, 0.4, 0.9, 1.5};
  NetDensities given = densities_of(seen);
  given.layers[0].base_sigma = 0.03;
  given.response_sigma = 0.05;
  std::vector<double> denser_base;
  std::vector<double> stretched;
  for (const double d : seen) {
    denser_base.push_back(d - 0.03);
    stretched.push_back(d * 1.05);
  }
  expect_same(film_exposures(given, kFilm, {.base = 1}),
              film_exposures(densities_of(denser_base), kFilm));
  expect_same(film_exposures(given, kFilm, {.response = 1}),
              film_exposures(densities_of(stretched), kFilm));
  expect_same(film_exposures(given, kFilm, {.contrast = 1}),
              film_exposures(given, kFilm.with_contrast(1 + kFilm.contrast_relative_sigma)));
  expect_same(film_exposures(given, kFilm, {.toe = 1}),
              film_exposures(given, kFilm.with_toe(kFilm.toe_sigma_stops)));
  expect_same(film_exposures(given, kFilm, {.shoulder = -1}),
              film_exposures(given, kFilm.with_shoulder(Stops(-kFilm.shoulder_sigma_stops))));
}

/// Above 1.30 log H, 4.32 stops [ISO6], a softer film spreads densities over more exposure.
TEST(FilmExposures, of_a_film_softer_above_the_triangle_spread_there_alone) {
  const NetDensities given = densities_of({0.4, 0.9, 1.5, 2.0});
  const FilmExposures usual = film_exposures(given, kFilm);
  const FilmExposures softer = film_exposures(given, kFilm, {.upper_gradient = 1});
  const double triangle = 1.30 / kLog10PerStop;
  for (std::size_t i = 0; i < 4; ++i) {
    const double above = std::max(0.0, usual.above_speed[i] - triangle);
    EXPECT_NEAR(softer.above_speed[i], usual.above_speed[i] + kFilm.upper_gradient_sigma * above,
                0.005)
        << i;
  }
  EXPECT_GT(softer.highlight_limit, usual.highlight_limit);
}

/// Beyond the range lie lamps, about as a power law of exponent -1: half within a stop of the
/// bound, one in forty 5.3 stops above. On clear film there is anything from nothing to its end.
TEST(FilmExposures, bounds_are_told_and_what_they_hide_is_drawn) {
  NetDensities given = densities_of({-0.05, 0.7, 1.8});
  given.layers[0].beyond[2] = 1;
  const auto under = [&](double highlights, double clear_film) {
    return film_exposures(given, kFilm, {.highlights = highlights, .clear_film = clear_film});
  };
  const FilmExposures middle = under(0, 0);
  EXPECT_EQ(middle.most, (std::vector<std::uint8_t>{1, 0, 0}));
  EXPECT_EQ(middle.least, (std::vector<std::uint8_t>{0, 0, 1}));
  EXPECT_NEAR(middle.beyond_area, 1 / 3.0, 1e-9);
  EXPECT_NEAR(middle.exposure[2] / std::exp2(middle.above_speed[2]), 2, 0.001);
  EXPECT_NEAR(under(1.96, 0).exposure[2] / middle.beyond[2], 40, 0.1);
  EXPECT_NEAR(under(0, 1.96).exposure[0] / middle.exposure[0], 1.95, 0.001);
  EXPECT_NEAR(under(3, 3).exposure[1], middle.exposure[1], 1e-12);
}

/// Grain of the parts raises their mean exposure through a bent curve, by 3 % here: it is taken
/// off. And an aperture's own sigma is how far it scatters. With 400 apertures the shares are good
/// to 1 % and 4 %.
TEST(FilmExposures, are_free_of_the_bias_of_grain_and_as_sure_as_they_say) {
  constexpr double kDensity = 0.3;
  constexpr double kGrain = 0.09;
  constexpr int kParts = 16;
  constexpr int kApertures = 400;
  std::mt19937 random(11);
  std::normal_distribution<> grain(0, kGrain);
  NetDensities given = densities_of(std::vector<double>(kApertures, kDensity));
  given.parts_per_aperture = kParts;
  LayerDensities& layer = given.layers[0];
  layer.parts.clear();
  for (int i = 0; i < kApertures; ++i) {
    double sum = 0;
    for (int p = 0; p < kParts; ++p) {
      layer.parts.push_back(static_cast<float>(kDensity + grain(random)));
      sum += layer.parts.back();
    }
    layer.density[static_cast<std::size_t>(i)] = sum / kParts;
    layer.sigma[static_cast<std::size_t>(i)] = kGrain / std::sqrt(kParts);
  }
  const FilmExposures found = film_exposures(given, kFilm);
  const double truth = film_exposures(densities_of({kDensity}), kFilm).exposure[0];
  double mean = 0;
  double raw = 0;
  double told = 0;
  for (std::size_t i = 0; i < kApertures; ++i) {
    mean += found.exposure[i] / kApertures;
    raw += std::exp2(found.above_speed[i]) / kApertures;
    told += found.sigma[i] / kApertures;
  }
  double squares = 0;
  for (const double one : found.above_speed) squares += std::pow(one - std::log2(raw), 2);
  EXPECT_GT(raw / truth, 1.02);
  EXPECT_NEAR(mean / truth, 1, 0.015);
  EXPECT_NEAR(told / std::sqrt(squares / kApertures), 1, 0.15);
}

}  // namespace
}  // namespace basefog::reading
