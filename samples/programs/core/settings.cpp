// SPDX-License-Identifier: GPL-3.0-or-later
// Arithmetic with marked settings.
#include "basefog/core/settings.hpp"

#include <cstdio>

using namespace basefog;

int main() {
  const ShutterTime t(1 / 125.0);
  const Stops more = exposure_change(ShutterTime(1 / 60.0), FNumber(5.6), t, FNumber(8));
  const Aim aim{.film_speed = FilmSpeed(400)};
  std::printf("%s at %s gives %+.0f stops against %s at f/8; aim at ISO 400: %.4f lux s\n",
              as_marked(ShutterTime(1 / 60.0)).c_str(), as_marked(FNumber(5.6)).c_str(),
              more.value(), as_marked(t).c_str(), aim.lux_seconds());
  return more > Stops(1.99) && more < Stops(2.01) ? 0 : 1;
}
