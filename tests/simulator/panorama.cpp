// SPDX-License-Identifier: GPL-3.0-or-later
#include "simulator/panorama.hpp"

#include <algorithm>
#include <cmath>
#include <functional>
#include <numbers>
#include <opencv2/imgproc.hpp>
#include <vector>

namespace simulator {
namespace {

constexpr double kDegree = std::numbers::pi / 180;

Panorama made_up(const std::function<double(double yaw, double pitch)>& radiance) {
  const cv::Size size(512, 256);
  cv::Mat picture(size, CV_32FC3);
  for (int y = 0; y < size.height; ++y) {
    for (int x = 0; x < size.width; ++x) {
      const double yaw = (x + 0.5) / size.width * 360 - 180;
      const double pitch = 90 - (y + 0.5) / size.height * 180;
      picture.at<cv::Vec3f>(y, x) = cv::Vec3f::all(static_cast<float>(radiance(yaw, pitch)));
    }
  }
  return {picture};
}

}  // namespace

cv::Mat luminance(const cv::Mat& rgb) {
  cv::Mat result;
  cv::transform(rgb, result, cv::Matx13f(0.2126F, 0.7152F, 0.0722F));
  return result;
}

double luminance_of_ev(double ev) { return 0.125 * std::exp2(ev); }

Panorama lit(const Panorama& panorama, double ev) {
  const int rows = panorama.radiance.rows;
  const cv::Mat band = luminance(panorama.radiance.rowRange(rows / 4, rows - rows / 4));
  std::vector<float> values(band.begin<float>(), band.end<float>());
  const auto middle = values.begin() + static_cast<std::ptrdiff_t>(values.size() / 2);
  std::nth_element(values.begin(), middle, values.end());
  return {panorama.radiance * (luminance_of_ev(ev) / *middle)};
}

cv::Mat look(const Panorama& panorama, const View& view, cv::Size size) {
  const cv::Size sphere = panorama.radiance.size();
  // Two columns from the other end on each side, so that the seam at yaw 180 does not show.
  cv::Mat wrapped;
  cv::copyMakeBorder(panorama.radiance, wrapped, 0, 0, 2, 2, cv::BORDER_WRAP);
  cv::log(wrapped, wrapped);

  const double half_long = std::tan(view.field_of_view / 2 * kDegree);
  const double per_pixel = 2 * half_long / std::max(size.width, size.height);
  const double cos_roll = std::cos(view.roll * kDegree);
  const double sin_roll = std::sin(view.roll * kDegree);
  const double cos_pitch = std::cos(view.pitch * kDegree);
  const double sin_pitch = std::sin(view.pitch * kDegree);
  cv::Mat map_x(size, CV_32FC1);
  cv::Mat map_y(size, CV_32FC1);
  for (int y = 0; y < size.height; ++y) {
    for (int x = 0; x < size.width; ++x) {
      const double u = (x + 0.5 - size.width / 2.0) * per_pixel;
      const double v = (size.height / 2.0 - y - 0.5) * per_pixel;
      const double right = u * cos_roll + v * sin_roll;
      const double rise = v * cos_roll - u * sin_roll;
      const double up = rise * cos_pitch + sin_pitch;
      const double ahead = cos_pitch - rise * sin_pitch;
      double yaw = view.yaw + std::atan2(right, ahead) / kDegree;
      yaw -= 360 * std::floor((yaw + 180) / 360);
      const double pitch = std::atan2(up, std::hypot(right, ahead)) / kDegree;
      map_x.at<float>(y, x) = static_cast<float>((yaw + 180) / 360 * sphere.width - 0.5 + 2);
      map_y.at<float>(y, x) = static_cast<float>((90 - pitch) / 180 * sphere.height - 0.5);
    }
  }
  cv::Mat seen;
  cv::remap(wrapped, seen, map_x, map_y, cv::INTER_CUBIC, cv::BORDER_REPLICATE);
  cv::exp(seen, seen);
  return seen;
}

Panorama uniform_panorama(double radiance) {
  return made_up([=](double, double) { return radiance; });
}

Panorama gradient_panorama(double range_stops) {
  return made_up([=](double yaw, double) {
    return std::exp2(range_stops * (std::clamp(yaw, -90.0, 90.0) / 180));
  });
}

Panorama disc_panorama(double diameter_degrees, double brighter_stops) {
  return made_up([=](double yaw, double pitch) {
    const double cos_distance = std::cos(yaw * kDegree) * std::cos(pitch * kDegree);
    const bool inside = std::acos(std::min(1.0, cos_distance)) < diameter_degrees / 2 * kDegree;
    return inside ? std::exp2(brighter_stops) : 1.0;
  });
}

}  // namespace simulator
