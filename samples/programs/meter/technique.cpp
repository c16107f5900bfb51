// SPDX-License-Identifier: GPL-3.0-or-later
// What back light needs, from five frames of it.
#include "basefog/meter/technique.hpp"

#include <cstdio>
#include <vector>

using namespace basefog;

int main() {
  std::vector<meter::TechniqueSample> samples;
  for (const double stops : {1.1, 1.5, 1.3, 1.8, 1.4}) {
    meter::TechniqueSample sample;
    sample.technique = Stops(stops);
    sample.sigma = 0.15;
    sample.scene = "backlit";
    samples.push_back(sample);
  }
  const auto all = meter::fit_technique(samples);
  for (const meter::SceneTechnique& technique : all) {
    std::printf("%s: %+.1f (%+.1f to %+.1f) stops, %d frames\n", technique.scene.c_str(),
                technique.stops.value.value(), technique.stops.low->value(),
                technique.stops.high->value(), technique.frames);
  }
  return all.size() == 1 ? 0 : 1;
}
