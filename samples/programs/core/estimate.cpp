// SPDX-License-Identifier: GPL-3.0-or-later
// A value with its interval, and one of which only a bound is known.
#include "basefog/core/estimate.hpp"

#include <cstdio>

#include "basefog/core/units.hpp"

using namespace basefog;

int main() {
  const StopsEstimate known = normal_estimate(Stops(-1.3), Stops(0.1));
  const StopsEstimate bound{Stops(2), Stops(1.5), std::nullopt};
  std::printf("%.1f (%.1f to %.1f); at least %.1f\n", known.value.value(), known.low->value(),
              known.high->value(), bound.low->value());
  return known.two_sided() && !bound.two_sided() ? 0 : 1;
}
