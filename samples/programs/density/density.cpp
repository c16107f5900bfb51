// SPDX-License-Identifier: GPL-3.0-or-later
// From a scan to its frame, its clear film and its net densities.
#include "basefog/density/density.hpp"

#include <cstdio>

using namespace basefog;

int main(int argc, char** argv) {
  if (argc < 2) return 2;
  const scan::Scan scan = scan::read_scan(std::filesystem::path(argv[1]) / "roll03_03.tif");
  const area::FilmLayout layout = area::find_film(scan);
  const density::FrameMeasurement frame = density::measure_frames(scan, layout).at(0);
  std::printf("frame of %.0f x %.0f pixels, turned by %.1f degrees; base %.3f\n",
              frame.region.width, frame.region.height, frame.region.angle_degrees,
              frame.rebate.density.at(0).value());
  const density::ApertureGrid& grid = frame.apertures;
  const NetDensity middle =
      density::net_density(grid, frame.rebate, 0, grid.columns / 2, grid.rows / 2);
  std::printf("net density in the middle: %.2f\n", middle.value());
  return frame.rebate.kind == density::ReferenceKind::rebate ? 0 : 1;
}
