// SPDX-License-Identifier: GPL-3.0-or-later
// A curve from its shape: the same film developed harder holds its speed and gains gradient.
#include "basefog/film/characteristic_curve.hpp"

#include <cstdio>

using namespace basefog;

int main() {
  const film::CharacteristicCurve normal = film::CharacteristicCurve::from_shape({});
  const film::CharacteristicCurve harder = normal.with_contrast(1.2);
  for (double stops = -2; stops <= 10; stops += 2) {
    std::printf("%+5.1f stops: %.2f, harder %.2f\n", stops, normal.density(Stops(stops)).value(),
                harder.density(Stops(stops)).value());
  }
  std::printf("average gradient %.2f, harder %.2f\n", normal.average_gradient(),
              harder.average_gradient());
  return harder.density(Stops(6)) > normal.density(Stops(6)) ? 0 : 1;
}
