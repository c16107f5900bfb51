// SPDX-License-Identifier: GPL-3.0-or-later
#include "simulator/panorama.hpp"

#include <algorithm>
#include <bit>
#include <cmath>
#include <functional>
#include <numbers>
#include <opencv2/imgproc.hpp>
#include <vector>

#include "simulator/noise.hpp"

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

/// Side of a picture's pixel on the plane at distance 1 from the lens.
double pixel_tangent(const View& view, cv::Size size) {
  return 2 * std::tan(view.field_of_view / 2 * kDegree) / std::max(size.width, size.height);
}

/// Where each pixel of a picture looks, as column and row of the panorama.
void trace(const View& view, cv::Size size, cv::Size sphere, cv::Mat& columns, cv::Mat& rows) {
  const double per_pixel = pixel_tangent(view, size);
  const double cos_roll = std::cos(view.roll * kDegree);
  const double sin_roll = std::sin(view.roll * kDegree);
  const double cos_pitch = std::cos(view.pitch * kDegree);
  const double sin_pitch = std::sin(view.pitch * kDegree);
  columns.create(size, CV_32FC1);
  rows.create(size, CV_32FC1);
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
      columns.at<float>(y, x) = static_cast<float>((yaw + 180) / 360 * sphere.width - 0.5);
      rows.at<float>(y, x) = static_cast<float>((90 - pitch) / 180 * sphere.height - 0.5);
    }
  }
}

/// The logarithm of what a view sees, by cubic interpolation without ringing.
cv::Mat interpolated(const Panorama& panorama, const View& view, cv::Size size) {
  cv::Mat columns;
  cv::Mat rows;
  trace(view, size, panorama.radiance.size(), columns, rows);
  // A few columns from the other end on each side, so that the seam at yaw 180 does not show.
  constexpr int kWrap = 3;
  columns += kWrap;
  cv::Mat source;
  cv::copyMakeBorder(panorama.radiance, source, 0, 0, kWrap, kWrap, cv::BORDER_WRAP);
  cv::log(source, source);
  const auto sample = [&](const cv::Mat& picture, int method) {
    cv::Mat seen;
    cv::remap(picture, seen, columns, rows, method, cv::BORDER_REPLICATE);
    return seen;
  };
  // Nothing beyond what the neighbouring values span: a lamp must not get a dark ring.
  const cv::Mat near = cv::Mat::ones(3, 3, CV_8UC1);
  cv::Mat most;
  cv::dilate(source, most, near);
  cv::Mat least;
  cv::erode(source, least, near);
  cv::Mat seen = sample(source, cv::INTER_CUBIC);
  seen = cv::min(seen, sample(most, cv::INTER_LINEAR));
  return cv::max(seen, sample(least, cv::INTER_LINEAR));
}

/// Adds made-up texture, finer than `soft` pixels, to the logarithm of a picture.
void add_detail(cv::Mat& log_picture, const View& view, double soft) {
  cv::Mat level;
  cv::transform(log_picture, level, cv::Matx13f(0.2126F, 0.7152F, 0.0722F));
  cv::Mat even;
  cv::GaussianBlur(level, even, {0, 0}, 2 * soft);
  cv::Mat contrast = level - even;
  contrast = contrast.mul(contrast);
  cv::GaussianBlur(contrast, contrast, {0, 0}, 2 * soft);
  cv::sqrt(contrast, contrast);
  // Texture, not edges: a hard edge must not turn into noise.
  constexpr double kMostContrast = 0.12;
  contrast = cv::min(contrast, kMostContrast);

  const auto seed = std::bit_cast<std::uint64_t>(view.yaw * 7 + view.pitch + 1000);
  cv::Mat texture = cv::Mat::zeros(level.size(), CV_32FC1);
  std::uint64_t octave = 0;
  double wave = 2 * soft;
  while (wave >= 2) {
    // Noise of this wavelength; each octave finer is weaker by the root of 2.
    const cv::Size coarse(static_cast<int>(level.cols / wave * 2) + 1,
                          static_cast<int>(level.rows / wave * 2) + 1);
    cv::Mat noise;
    cv::resize(normal_picture(coarse, Noise(seed).fork(octave++)), noise, level.size(), 0, 0,
               cv::INTER_CUBIC);
    texture += noise * std::sqrt(wave / (2 * soft));
    wave /= 2;
  }
  cv::Mat added = contrast.mul(texture, view.detail);
  cv::merge(std::vector<cv::Mat>(3, added), added);
  log_picture += added;
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

Panorama lit(const Panorama& panorama, const View& view, double ev) {
  const double mean = cv::mean(luminance(look(panorama, view, {360, 240})))[0];
  return {panorama.radiance * (luminance_of_ev(ev) / mean)};
}

cv::Mat look(const Panorama& panorama, const View& view, cv::Size size) {
  const double per_pixel = pixel_tangent(view, size);
  cv::Mat seen = interpolated(panorama, view, size);
  const double soft = 360.0 / panorama.radiance.cols * kDegree / per_pixel;
  if (view.detail > 0 && soft > 1) add_detail(seen, view, soft);
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
