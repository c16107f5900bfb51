// SPDX-License-Identifier: GPL-3.0-or-later
// What a long exposure loses.
#include "basefog/film/reciprocity.hpp"

#include <cstdio>

using namespace basefog;

int main() {
  const film::Reciprocity film{.exponent = 1.31};
  for (const double metered : {1.0, 4.0, 15.0, 60.0}) {
    const ShutterTime time = film::corrected_time(film, ShutterTime(metered));
    std::printf("metered %2.0f s: give %.0f s; %.0f s would lose %.1f stops\n", metered,
                time.seconds(), metered,
                film::reciprocity_loss(film, ShutterTime(metered)).loss.value());
  }
  return film::corrected_time(film, ShutterTime(60)).seconds() > 150 ? 0 : 1;
}
