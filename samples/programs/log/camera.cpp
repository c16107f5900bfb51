// SPDX-License-Identifier: GPL-3.0-or-later
// What a camera can be set to: marks, lenses, and the longest time to hold by hand.
#include "basefog/log/camera.hpp"

#include <cstdio>

using namespace basefog;

int main() {
  const log::Camera camera = log::parse_camera(R"(
name = "the black one"
shutter = ["1", "1/2", "1/4", "1/8", "1/15", "1/30", "1/60", "1/125", "1/250", "1/500"]
[[lens]]
name = "normal"
focal_length = 50
widest = 1.8
narrowest = 16
)",
                                               "camera.toml");
  const log::CameraLens& lens = camera.lenses.at(0);
  std::printf("%s: f/%.1f to f/%.0f, hold by hand from 1/%.0f s\n", lens.name.c_str(),
              lens.stops.front().value(), lens.stops.back().value(),
              1 / log::hand_hold_limit(camera, lens.shortest_mm).seconds());
  return camera.shutter.size() == 10 ? 0 : 1;
}
