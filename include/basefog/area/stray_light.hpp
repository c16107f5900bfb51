// SPDX-License-Identifier: GPL-3.0-or-later
#pragma once

#include <vector>

namespace basefog::area {

/// Light that a scanner scatters from where it is bright to where it is dark (flare), as found on
/// one scan; none where nothing shows it.
struct StrayLight {
  double share = 0;        ///< of all light, that goes astray
  double share_sigma = 0;  ///< standard deviation of that
  int width = 0;           ///< cells of the map; 0: no stray light
  int height = 0;          ///< cells
  double cell_side = 1;    ///< pixels
  /// Stray light, against full scale, planar by the scan's channels.
  std::vector<float> light;

  /// Stray light at a place in pixels, interpolated; 0 where there is no map.
  double at(int channel, double x, double y) const;

  /// What would be read at a place without it, for light that was read there. Where most of the
  /// light is stray, a quarter of it is left: more than that is not known.
  double corrected(double light_read, int channel, double x, double y) const;
};

}  // namespace basefog::area
