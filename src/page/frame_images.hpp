// SPDX-License-Identifier: GPL-3.0-or-later
#pragma once

#include <optional>
#include <string>
#include <vector>

#include "basefog/roll/analysis.hpp"

namespace basefog::page {

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

/// The pictures of all frames, in order, made on as many threads as there are cores.
std::vector<FrameImages> frame_images(const roll::Analysis& analysis);

}  // namespace basefog::page
