// SPDX-License-Identifier: GPL-3.0-or-later
// The marked settings that give a stop more than 1/125 at f/8.
#include "basefog/log/equivalents.hpp"

#include <cstdio>

using namespace basefog;

int main() {
  const log::EquivalentQuestion question{
      .shutter = ShutterTime(1 / 125.0), .aperture = FNumber(8), .wanted = Stops(1)};
  const auto all = log::equivalent_settings(log::default_camera(), question);
  for (const log::EquivalentSettings& settings : all) {
    std::printf("%-7s %-6s %+.1f%s\n", as_marked(settings.shutter).c_str(),
                as_marked(settings.aperture).c_str(), settings.change.value(),
                settings.below_hand_hold ? " tripod" : "");
  }
  return all.empty() ? 1 : 0;
}
