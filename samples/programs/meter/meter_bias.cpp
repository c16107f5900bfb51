// SPDX-License-Identifier: GPL-3.0-or-later
// The bias of a camera whose frames are known to be off.
#include "basefog/meter/meter_bias.hpp"

#include <cstdio>
#include <vector>

using namespace basefog;

int main() {
  std::vector<meter::DeviationSample> samples;
  for (int i = 0; i < 12; ++i) {
    const bool slow = i % 3 == 0;
    meter::DeviationSample sample;
    sample.deviation = Stops(-0.6 + (slow ? 0.8 : 0) + 0.05 * (i % 2));
    sample.sigma = 0.1;
    sample.shutter = ShutterTime(slow ? 1 / 15.0 : 1 / 125.0);
    sample.mode = log::ExposureMode::aperture_priority;
    samples.push_back(sample);
  }
  const meter::MeterBias fit = meter::fit_meter_bias(samples);
  std::printf("camera %+.2f\n", fit.bias->value.value());
  for (const meter::BiasEffect& effect : fit.effects) {
    std::printf("%s %+.2f over %d frames\n", effect.level.c_str(), effect.stops.value.value(),
                effect.frames);
  }
  return fit.frames_used == 12 ? 0 : 1;
}
