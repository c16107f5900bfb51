// SPDX-License-Identifier: GPL-3.0-or-later
// A scanner's response from the codes of a step tablet.
#include "basefog/tablet/scanner_calibration.hpp"

#include <cmath>
#include <cstdio>

using namespace basefog;

int main() {
  std::vector<tablet::TabletPatch> patches;
  for (int step = 0; step < 21; ++step) {
    const double density = 0.05 + 0.15 * step;
    const double code = (275 + 60000 * std::pow(10, -1.2 * density)) / 65535;
    patches.push_back({Density::from_value(density), {{code}}});
  }
  const tablet::ScannerCalibration scanner = tablet::calibrate_scanner(patches);
  const tablet::ChannelCalibration& gray = scanner.channels.at(0);
  std::printf("exponent %.3f, residual %.4f, usable to density %.2f\n", gray.exponent,
              gray.rms_residual.value(), gray.densest.value());
  return gray.worst_residual < DensityDifference(0.02) ? 0 : 1;
}
