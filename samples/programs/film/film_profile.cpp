// SPDX-License-Identifier: GPL-3.0-or-later
// From net density to exposure and back through a generic film.
#include "basefog/film/film_profile.hpp"

#include <cstdio>

using namespace basefog;

int main() {
  const film::FilmProfile film = film::generic_black_and_white(FilmSpeed(400));
  const film::CharacteristicCurve& curve = film.layers.front().curve;
  for (double density : {0.1, 0.3, 0.6, 0.9, 1.2}) {
    std::printf("net density %.1f: %+.2f stops above the speed point\n", density,
                curve.exposure(NetDensity(density)).value());
  }
  const Stops at_speed_point = curve.exposure(NetDensity(0.10));
  return abs(at_speed_point) < Stops(0.01) ? 0 : 1;
}
