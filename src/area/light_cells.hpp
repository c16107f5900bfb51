// SPDX-License-Identifier: GPL-3.0-or-later
#pragma once

#include <vector>

#include "basefog/scan/scan.hpp"

namespace basefog::area {

/// Densities of a scan on square cells of step x step blocks, planar by channel.
struct LightCells {
  int width = 0;
  int height = 0;
  int channels = 0;
  int step = 1;
  std::vector<float> density;  ///< of the mean light, against full scale

  std::vector<bool> clipped;  ///< one a cell: at the white limit in some channel

  std::size_t plane() const { return static_cast<std::size_t>(width) * height; }
};

/// The finest cells on which even tones are even in spite of grain and noise: a block each, or more
/// where that leaves half a million; never so coarse that the long side has fewer than 320 cells,
/// unless the block image has.
LightCells quiet_cells(const decode::BlockImage& blocks);

/// Mean of the channels' densities.
std::vector<float> mean_density(const LightCells& cells);

}  // namespace basefog::area
