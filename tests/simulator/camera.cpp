// SPDX-License-Identifier: GPL-3.0-or-later
#include "simulator/camera.hpp"

#include <algorithm>
#include <cmath>
#include <numbers>
#include <opencv2/imgproc.hpp>
#include <stdexcept>

namespace simulator {
namespace {

cv::Mat circle_mask(cv::Size size, cv::Point2d centre, double diameter_of_long_side) {
  const double radius = diameter_of_long_side / 2 * std::max(size.width, size.height);
  cv::Mat mask(size, CV_64FC1);
  for (int y = 0; y < size.height; ++y) {
    for (int x = 0; x < size.width; ++x) {
      const double dx = x + 0.5 - centre.x * size.width;
      const double dy = y + 0.5 - centre.y * size.height;
      mask.at<double>(y, x) = std::clamp(radius - std::hypot(dx, dy) + 0.5, 0.0, 1.0);
    }
  }
  return mask;
}

/// The picture in the lens, in the unit of luminance, after fall-off and glare.
cv::Mat through_lens(const Panorama& scene, const View& view, cv::Size size, const Lens& lens) {
  cv::Mat seen = look(scene, view, size);
  const double per_pixel = 2 * std::tan(view.field_of_view / 2 * std::numbers::pi / 180) /
                           std::max(size.width, size.height);
  for (int y = 0; y < size.height; ++y) {
    for (int x = 0; x < size.width; ++x) {
      const double dx = (x + 0.5 - size.width / 2.0) * per_pixel;
      const double dy = (y + 0.5 - size.height / 2.0) * per_pixel;
      // cos^2 of the angle off the axis is 1 / (1 + tan^2).
      const double cos_squared = 1 / (1 + dx * dx + dy * dy);
      seen.at<cv::Vec3f>(y, x) *= static_cast<float>(std::pow(cos_squared, 2 * lens.vignetting));
    }
  }
  const cv::Scalar veil = cv::mean(seen) * lens.veiling_glare;
  cv::Mat result = seen * (1 - lens.veiling_glare);
  return result + cv::Scalar(veil[0], veil[1], veil[2]);
}

double weighted_mean(const cv::Mat& picture, const cv::Mat& weight) {
  cv::Mat values;
  picture.convertTo(values, CV_64F);
  return values.dot(weight);
}

Mark& find(std::vector<Mark>& marks, const std::string& engraved) {
  const auto found = std::find_if(marks.begin(), marks.end(),
                                  [&](const Mark& m) { return m.engraved == engraved; });
  if (found == marks.end()) throw std::invalid_argument("the camera has no mark " + engraved);
  return *found;
}

/// The mark whose value is nearest in the logarithm.
const Mark& nearest(const std::vector<Mark>& marks, double value) {
  return *std::min_element(marks.begin(), marks.end(), [&](const Mark& a, const Mark& b) {
    return std::abs(std::log2(a.exact / value)) < std::abs(std::log2(b.exact / value));
  });
}

}  // namespace

double aim_lux_seconds(double film_speed) { return kLensFactor * kMeterConstant / film_speed; }

cv::Mat weights(Pattern pattern, cv::Size size, cv::Point2d spot) {
  cv::Mat weight = cv::Mat::ones(size, CV_64FC1);
  if (pattern == Pattern::spot) {
    weight = circle_mask(size, spot, 1.0 / 12);
  } else if (pattern == Pattern::centre_weighted) {
    const cv::Mat inside = circle_mask(size, {0.5, 0.5}, 1.0 / 3);
    const cv::Mat outside = 1 - inside;
    weight = inside * (0.6 / cv::sum(inside)[0]) + outside * (0.4 / cv::sum(outside)[0]);
  }
  return weight / cv::sum(weight)[0];
}

std::vector<Mark> full_stop_shutter() {
  std::vector<Mark> marks;
  const std::vector<std::string> engraved = {"1s",   "1/2",   "1/4",   "1/8",   "1/15",  "1/30",
                                             "1/60", "1/125", "1/250", "1/500", "1/1000"};
  for (std::size_t i = 0; i < engraved.size(); ++i) {
    marks.push_back({engraved[i], std::exp2(-static_cast<double>(i))});
  }
  return marks;
}

std::vector<Mark> half_stop_aperture() {
  std::vector<Mark> marks;
  const std::vector<std::string> engraved = {"2",   "2.4", "2.8", "3.4", "4",  "4.8", "5.6",
                                             "6.7", "8",   "9.5", "11",  "13", "16"};
  for (std::size_t i = 0; i < engraved.size(); ++i) {
    marks.push_back({engraved[i], 2 * std::exp2(static_cast<double>(i) / 4)});
  }
  return marks;
}

Mark& Camera::shutter_mark(const std::string& engraved) { return find(shutter, engraved); }
Mark& Camera::aperture_mark(const std::string& engraved) { return find(aperture, engraved); }

Shot take(const Panorama& scene, const View& view, cv::Size size, const Camera& camera,
          const Wish& wish) {
  const cv::Mat image = through_lens(scene, view, size, camera.lens);
  const double read =
      weighted_mean(luminance(image), weights(camera.meter.pattern, size, camera.meter.spot));
  Shot shot;
  shot.mode = wish.mode;
  shot.compensation = wish.compensation;
  shot.metered_ev = std::log2(read / luminance_of_ev(0));
  const double off = camera.meter.bias_stops + wish.scatter_stops;
  // N²/t that the meter asks for.
  const double asked =
      read * camera.exposure_index / kMeterConstant * std::exp2(-off - wish.compensation);

  Camera body = camera;
  Mark aperture = body.aperture_mark(wish.aperture);
  Mark shutter = wish.shutter ? body.shutter_mark(*wish.shutter)
                              : nearest(body.shutter, aperture.exact * aperture.exact / asked);
  double seconds = shutter.exact;
  if (wish.mode == Mode::manual) {
    aperture = nearest(body.aperture, std::sqrt(asked * shutter.exact));
  } else if (wish.mode == Mode::aperture_priority) {
    seconds = std::clamp(aperture.exact * aperture.exact / asked, body.shutter.back().exact,
                         body.shutter.front().exact);
  }
  shot.logged_shutter = shutter.engraved;
  shot.logged_aperture = aperture.engraved;
  shot.marked_seconds = shutter.exact;
  shot.marked_f_number = aperture.exact;
  shot.seconds = seconds * std::exp2(shutter.error_stops);
  shot.f_number = aperture.exact * std::exp2(-aperture.error_stops / 2);
  shot.asked_stops = std::log2(shutter.exact / (aperture.exact * aperture.exact) * asked);
  image.convertTo(shot.exposure, CV_32F,
                  kLensFactor * shot.seconds / (shot.f_number * shot.f_number));
  return shot;
}

Shot no_light(cv::Size size) {
  Shot shot;
  shot.mode = Mode::set;
  shot.exposure = cv::Mat::zeros(size, CV_32FC3);
  return shot;
}

}  // namespace simulator
