// SPDX-License-Identifier: GPL-3.0-or-later
#pragma once

#include <cstddef>
#include <cstdint>
#include <vector>

namespace basefog::decode {

/// Linear transmittance of a scan, averaged over square blocks of pixels. Block (0, 0) is the upper
/// left corner of the upright picture; blocks at the right and lower edge may cover fewer pixels.
/// Every block covers at least one pixel that was read: of a file that is cut short, the missing
/// rows are not part of the image.
/// Samples are planar: index(c, x, y) = (c * height + y) * width + x.
struct BlockImage {
  int width = 0;                      ///< blocks
  int height = 0;                     ///< blocks
  int channels = 0;                   ///< 1 gray, 3 red, green, blue
  int block_side = 1;                 ///< pixels
  std::vector<float> mean;            ///< light relative to full scale (or to --light), >= 0
  std::vector<float> variance;        ///< of the pixels within the block, same unit squared
  std::vector<std::uint8_t> clipped;  ///< share of pixels at the white limit, 255 = all
  std::vector<std::uint8_t> floored;  ///< share of pixels at the black limit, 255 = all

  /// Place of a block's number in each array; nothing is checked.
  std::size_t index(int channel, int x, int y) const {
    return (static_cast<std::size_t>(channel) * height + y) * width + x;
  }
};

}  // namespace basefog::decode
