// SPDX-License-Identifier: GPL-3.0-or-later
#include "reading/film_exposures.hpp"

#include <gtest/gtest.h>

namespace basefog::reading {
namespace {

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

}  // namespace
}  // namespace basefog::reading
