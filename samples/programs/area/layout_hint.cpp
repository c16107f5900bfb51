// SPDX-License-Identifier: GPL-3.0-or-later
// A scan of one frame, read as what a person says it is.
#include "basefog/area/layout_hint.hpp"

#include <cstdio>

#include "basefog/area/film_area.hpp"

using namespace basefog;

int main(int argc, char** argv) {
  if (argc < 2) return 2;
  const area::LayoutHint hint = area::parse_layout("single,24x36");
  const scan::Scan scan = scan::read_scan(std::filesystem::path(argv[1]) / "roll03_03.tif");
  const area::FilmLayout layout = area::find_film(scan, hint);
  std::printf("%zu frame of %s\n", layout.frames.size(), hint.format.c_str());
  return layout.frames.size() == 1 ? 0 : 1;
}
