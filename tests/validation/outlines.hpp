// SPDX-License-Identifier: GPL-3.0-or-later
// How much outlines that were drawn and found have in common.
#pragma once

#include <opencv2/core.hpp>
#include <vector>

#include "basefog/area/film_area.hpp"

namespace validation {

/// In turn around a convex outline, pixels.
using Corners = std::vector<cv::Point2f>;

Corners corners_of(const basefog::area::FrameRegion& region);

struct Common {
  double overlap = 0;   ///< intersection over union
  double of_first = 0;  ///< intersection over the first
};
Common common(const Corners& a, const Corners& b);

}  // namespace validation
