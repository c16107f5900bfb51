// SPDX-License-Identifier: GPL-3.0-or-later
// A shutter that grows tired along a roll of twelve.
#include "basefog/roll/roll_trend.hpp"

#include <cstdio>
#include <vector>

using namespace basefog;

int main() {
  std::vector<roll::PlacedStops> deviations;
  for (int frame = 1; frame <= 12; ++frame) {
    deviations.push_back({static_cast<double>(frame), 0.1 * frame + 0.05 * (frame % 3)});
  }
  const auto change = roll::change_along(deviations);
  std::printf("%+.1f stops from first to last, %+.1f to %+.1f\n", change->value.value(),
              change->low->value(), change->high->value());
  return change->low->value() > 0 ? 0 : 1;
}
