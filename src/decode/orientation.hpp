// SPDX-License-Identifier: GPL-3.0-or-later
#pragma once

#include "basefog/decode/block_image.hpp"

namespace basefog::decode {

/// The eight ways in which a stored picture may be turned [TIFF6, Orientation]: 1 upright,
/// 2 mirrored, 3 turned by 180 degrees, 4 upside down mirrored, 5 to 8 the same with rows and
/// columns exchanged. Other numbers are taken as 1.
bool flips_columns(int orientation);  ///< the first stored column ends up right or at the bottom
bool flips_rows(int orientation);     ///< the first stored row ends up right or at the bottom
bool exchanges_axes(int orientation);

/// The first `rows` rows of a block image as stored, turned upright.
BlockImage upright(BlockImage stored, int rows, int orientation);

}  // namespace basefog::decode
