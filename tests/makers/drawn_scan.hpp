// SPDX-License-Identifier: GPL-3.0-or-later
#pragma once

#include <functional>
#include <vector>

#include "basefog/area/film_area.hpp"
#include "basefog/scan/scan.hpp"

namespace basefog::drawn {

/// Net density of the scene at a place of the frame, both 0 to 1 from its upper left corner.
using Scene = std::function<double(double, double)>;

Scene busy_scene(unsigned seed);  ///< net density 0.05 to 1.4, nowhere clear
Scene night_scene();              ///< clear but for a lit window and lamps in the lower right
Scene night_with_skyline();       ///< clear above, lit buildings below
Scene plain_scene(double net);    ///< one density all over

/// A scan drawn block by block from a plan, for tests of finding and measuring film. Lengths in
/// blocks.
struct Plan {
  int width = 460;
  int height = 320;
  int block_side = 4;              ///< pixels
  std::vector<double> base{0.30};  ///< density of clear film above bare light, one a channel
  double bare = 0.05;              ///< density of bare light against full scale
  std::vector<area::FrameRegion> frames{{230, 160, 396, 264, 0.0}};
  std::vector<Scene> scenes{busy_scene(1)};
  /// Film beyond which is bare light, turned as the first frame; no width: film everywhere.
  area::FrameRegion film{0, 0, 0, 0, 0};
  double mask_left = 0, mask_right = 0, mask_top = 0, mask_bottom = 0;
  bool edge_printing = false;
  int dust = 0;               ///< specks
  double pixel_noise = 0.02;  ///< standard deviation of density, pixel to pixel (grain)
  double flare = 0;           ///< share of all light that is spread evenly over the scan
  double fall_off = 0;        ///< density added in the corners
  unsigned seed = 1;
};

/// The scan; exact but for seeded noise.
scan::Scan draw(const Plan& plan);

/// The drawn frames in scan pixels, as find_film should give them.
std::vector<area::FrameRegion> true_frames(const Plan& plan);

/// Area in common over area of both, of two turned rectangles.
double overlap(const area::FrameRegion& a, const area::FrameRegion& b);

}  // namespace basefog::drawn
