// SPDX-License-Identifier: GPL-3.0-or-later
// What a push does to a film's contrast, and to how sure it is.
#include "basefog/film/development.hpp"

#include <cstdio>

using namespace basefog;

int main() {
  const film::FilmProfile film = film::generic_black_and_white(FilmSpeed(400));
  const film::FilmProfile pushed = film::developed(film, Stops(1));
  const double before = film.layers.at(0).curve.average_gradient();
  const double after = pushed.layers.at(0).curve.average_gradient();
  std::printf("average gradient %.2f, pushed by a stop %.2f, known to %.0f %%\n", before, after,
              100 * pushed.contrast_relative_sigma);
  return after > before ? 0 : 1;
}
