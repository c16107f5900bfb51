// SPDX-License-Identifier: GPL-3.0-or-later
#include "validation/outlines.hpp"

#include <cmath>
#include <numbers>
#include <opencv2/imgproc.hpp>

namespace validation {

Corners corners_of(const basefog::area::FrameRegion& r) {
  const double a = r.angle_degrees * std::numbers::pi / 180;
  Corners out;
  for (const auto& [su, sv] : {std::pair(-0.5, -0.5), {0.5, -0.5}, {0.5, 0.5}, {-0.5, 0.5}}) {
    const double u = su * r.width;
    const double v = sv * r.height;
    out.emplace_back(static_cast<float>(r.centre_x + u * std::cos(a) + v * std::sin(a)),
                     static_cast<float>(r.centre_y - u * std::sin(a) + v * std::cos(a)));
  }
  return out;
}

Common common(const Corners& a, const Corners& b) {
  Corners both;
  const double area = cv::intersectConvexConvex(a, b, both);
  const double of_a = cv::contourArea(a);
  return {area / (of_a + cv::contourArea(b) - area), area / of_a};
}

}  // namespace validation
