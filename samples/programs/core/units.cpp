// SPDX-License-Identifier: GPL-3.0-or-later
// Exposures are points, stops are differences, densities above base + fog are read through a curve.
#include "basefog/core/units.hpp"

#include <cstdio>

using namespace basefog;

int main() {
  const LogExposure aim = LogExposure::from_lux_seconds(0.0203);
  const LogExposure got = LogExposure::from_lux_seconds(0.0406);
  const Stops over = got - aim;
  const NetDensity net =
      NetDensity::above(Density::from_transmittance(0.1), Density::from_value(0.28));
  std::printf("over by %.2f stops; net density %.2f\n", over.value(), net.value());
  return over > Stops(0.99) && net > NetDensity(0.7) ? 0 : 1;
}
