// SPDX-License-Identifier: GPL-3.0-or-later
#pragma once

namespace basefog::decode {

/// Sums over the pixels of one channel of a block.
struct BlockSums {
  double origin = 0;   ///< light that the sums are relative to
  double light = 0;    ///< of differences from the origin
  double squares = 0;  ///< of squared differences from the origin
  double clipped = 0;  ///< pixels
  double floored = 0;  ///< pixels
};

}  // namespace basefog::decode
