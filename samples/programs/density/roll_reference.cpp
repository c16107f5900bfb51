// SPDX-License-Identifier: GPL-3.0-or-later
// Whether the scanner's exposure was locked, so that one scan's clear film may serve another.
#include "basefog/density/roll_reference.hpp"

#include <cstdio>
#include <vector>

using namespace basefog;

int main(int argc, char** argv) {
  if (argc < 2) return 2;
  std::vector<density::FilmBase> bases;
  for (const char* name : {"roll03_02.tif", "roll03_03.tif", "roll03_04.tif"}) {
    const scan::Scan scan = scan::read_scan(std::filesystem::path(argv[1]) / name);
    bases.push_back(density::measure_rebate(scan, area::find_film(scan)));
  }
  const density::RollReference roll = density::check_locked_exposure(bases);
  std::printf("%s\n", roll.locked ? "locked" : "not locked");
  return roll.locked ? 0 : 1;
}
