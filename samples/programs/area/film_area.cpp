// SPDX-License-Identifier: GPL-3.0-or-later
// Where the frame lies on a scan.
#include "basefog/area/film_area.hpp"

#include <cstdio>

using namespace basefog;

int main(int argc, char** argv) {
  if (argc < 2) return 2;
  const scan::Scan scan = scan::read_scan(std::filesystem::path(argv[1]) / "roll03_03.tif");
  const area::FilmLayout layout = area::find_film(scan);
  for (const area::FrameRegion& frame : layout.frames) {
    std::printf("%.0f x %.0f pixels about (%.0f, %.0f), turned by %.2f degrees\n", frame.width,
                frame.height, frame.centre_x, frame.centre_y, frame.angle_degrees);
  }
  return layout.edges_found && layout.frames.size() == 1 ? 0 : 1;
}
