// SPDX-License-Identifier: GPL-3.0-or-later
// The numbers that describe a curve.
#include "basefog/film/sensitometry.hpp"

#include <cstdio>

#include "basefog/film/film_profile.hpp"

using namespace basefog;

int main() {
  const film::FilmProfile film = film::generic_black_and_white(FilmSpeed(400));
  const film::CharacteristicCurve& curve = film.layers.at(0).curve;
  std::printf("speed %.0f, contrast index %.2f, average gradient %.2f\n",
              film::iso6_speed(film.speed_point()).iso(), film::contrast_index(curve).value_or(0),
              curve.average_gradient());
  return film::development_of(curve.average_gradient()) == film::Development::normal ? 0 : 1;
}
