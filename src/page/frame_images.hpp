// SPDX-License-Identifier: GPL-3.0-or-later
#pragma once

#include <optional>
#include <string>
#include <vector>

#include "basefog/roll/analysis.hpp"

namespace basefog::page {

/// Long side of the opened frame's print, pixels, where its scan has them.
inline constexpr int kOpenedSide = 1200;

/// A picture of the page, encoded.
struct EncodedImage {
  std::string source;  ///< a data: address, or one that a server answers
  int width = 0;       ///< pixels
  int height = 0;      ///< pixels
};

/// The pictures of one frame in the HTML report; what cannot be made is absent.
struct FrameImages {
  std::optional<EncodedImage> straight;
  std::optional<EncodedImage> corrected;
  std::optional<EncodedImage> scan;
};

/// The pictures of all frames, in order, from a second pass over scans that have more than was
/// kept; made on as many threads as there are cores. They stand in the page itself, so that it can
/// be sent and moved as one file: of 36 frames under 10 MB, whatever their grain.
std::vector<FrameImages> frame_images(const roll::Analysis& analysis);

}  // namespace basefog::page
