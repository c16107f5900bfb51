// SPDX-License-Identifier: GPL-3.0-or-later
// The density zero: clear film beside the frame.
#include "basefog/density/film_base.hpp"

#include <cstdio>

using namespace basefog;

int main(int argc, char** argv) {
  if (argc < 2) return 2;
  const scan::Scan scan = scan::read_scan(std::filesystem::path(argv[1]) / "roll03_03.tif");
  const density::FilmBase base = density::measure_rebate(scan, area::find_film(scan));
  if (base.kind != density::ReferenceKind::rebate) return 1;
  std::printf("base + fog %.3f against the scan's full scale, known to %.4f\n",
              base.density.at(0).value(), base.sigma.at(0).value());
  return base.sigma.at(0) < DensityDifference(0.02) ? 0 : 1;
}
