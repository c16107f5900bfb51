// SPDX-License-Identifier: GPL-3.0-or-later
#pragma once

#include <cstddef>
#include <functional>

#include "basefog/roll/analysis.hpp"

namespace basefog::roll {

/// Called with a frame's index and its picture.
using TakePicture = std::function<void(std::size_t frame, const density::NegativePicture& picture)>;

/// Each frame's picture, of a long side of at most long_side pixels, as large as its scan has it:
/// where measuring kept less, the scan's file is read a second time. The picture that was kept
/// stands in where the file is gone or is another by now, and for frames that were not found whole.
/// Taken once a frame, on as many threads as there are cores, in any order; frames without any
/// picture too. What `take` throws is thrown, and then not every frame was taken.
void for_each_picture(const Analysis& analysis, int long_side, const TakePicture& take);

/// The same of one frame.
density::NegativePicture picture_of_frame(const Analysis& analysis, std::size_t frame,
                                          int long_side);

/// Whether a second pass would give more than was kept, and then how large a picture.
struct LargerPicture {
  bool larger = false;  ///< than what was kept
  int width = 0;        ///< pixels, of the picture that comes
  int height = 0;       ///< pixels
};
/// For a long side of at most long_side pixels; no file is read.
LargerPicture larger_picture(const Analysis& analysis, std::size_t frame, int long_side);

}  // namespace basefog::roll
