// SPDX-License-Identifier: GPL-3.0-or-later
// The numbers that describe a curve.
#include "basefog/film/sensitometry.hpp"

#include <cstdio>

#include "basefog/film/film_profile.hpp"

using namespace basefog;

int main() {
  const FilmProfile film = generic_black_and_white(FilmSpeed(400));
  const CharacteristicCurve& curve = film.layers.at(0).curve;
  std::printf("speed %.0f, contrast index %.2f, %s\n", iso6_speed(film.speed_point()).iso(),
              contrast_index(curve).value_or(0),
              describe_development(curve.average_gradient()).c_str());
  return development_of(curve.average_gradient()) == Development::normal ? 0 : 1;
}
