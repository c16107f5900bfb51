// SPDX-License-Identifier: GPL-3.0-or-later
#include "simulator/blemishes.hpp"

#include <algorithm>
#include <cmath>
#include <numbers>
#include <opencv2/imgproc.hpp>

#include "simulator/noise.hpp"

namespace simulator {
namespace {

constexpr int kShift = 4;

cv::Point fixed_point(cv::Point2d p) {
  return {static_cast<int>(std::lround(p.x * (1 << kShift))),
          static_cast<int>(std::lround(p.y * (1 << kShift)))};
}

/// A stream of random numbers for drawing.
class Draws {
 public:
  explicit Draws(std::uint64_t seed) : noise_(seed) {}
  double between(double low, double high) { return low + (high - low) * noise_.uniform(count_++); }
  cv::Point2d place(cv::Size size) {
    const double x = between(0, size.width);
    return {x, between(0, size.height)};
  }

 private:
  Noise noise_;
  std::uint64_t count_ = 0;
};

void add_to_layers(Negative& negative, const cv::Mat& mask, double density) {
  cv::Mat one;
  mask.convertTo(one, CV_32F, density / 255);
  cv::Mat all;
  cv::merge(std::vector<cv::Mat>(negative.density.channels(), one), all);
  negative.density += all;
}

}  // namespace

void add_dust(Negative& negative, double specks_per_square_cm, std::uint64_t seed) {
  Draws draws(seed);
  const cv::Size size = negative.dust.size();
  const double area = size.area() * negative.pixel_mm * negative.pixel_mm / 100;
  const auto count = static_cast<int>(std::lround(specks_per_square_cm * area));
  for (int i = 0; i < count; ++i) {
    const cv::Point2d place = draws.place(size);
    const double radius = draws.between(0.01, 0.06) / negative.pixel_mm;
    // A speck finer than a pixel takes only part of its light.
    const double part = std::min(1.0, std::numbers::pi * radius * radius);
    cv::circle(negative.dust, fixed_point(place), fixed_point({std::max(0.5, radius), 0}).x,
               cv::Scalar(255 * part), cv::FILLED, cv::LINE_AA, kShift);
    if (i % 50 != 49) continue;
    double angle = draws.between(0, 2 * std::numbers::pi);
    cv::Point2d from = place;
    for (int k = 0; k < 12; ++k) {
      angle += draws.between(-0.5, 0.5);
      const double step = 0.12 / negative.pixel_mm;
      const cv::Point2d to = from + cv::Point2d(std::cos(angle), std::sin(angle)) * step;
      cv::line(negative.dust, fixed_point(from), fixed_point(to), cv::Scalar(160), 1, cv::LINE_AA,
               kShift);
      from = to;
    }
  }
}

void add_scratches(Negative& negative, int count, std::uint64_t seed, double angle_degrees) {
  Draws draws(seed);
  const double angle = angle_degrees * std::numbers::pi / 180;
  for (int i = 0; i < count; ++i) {
    cv::Mat mask = cv::Mat::zeros(negative.dust.size(), CV_8UC1);
    const cv::Point2d from = draws.place(mask.size());
    const double length = draws.between(4, 60) / negative.pixel_mm;
    const double lean = angle + draws.between(-0.01, 0.01);
    cv::line(mask, fixed_point(from),
             fixed_point(from + cv::Point2d(std::cos(lean), -std::sin(lean)) * length),
             cv::Scalar(255), 1, cv::LINE_AA, kShift);
    add_to_layers(negative, mask, i % 2 == 0 ? -0.1 : 0.1);
  }
  // The emulsion can be scraped off, the base cannot.
  negative.density = cv::max(negative.density, 0.02);
}

void add_finger_marks(Negative& negative, int count, std::uint64_t seed, double density) {
  Draws draws(seed);
  for (int i = 0; i < count; ++i) {
    cv::Mat mask = cv::Mat::zeros(negative.dust.size(), CV_8UC1);
    const cv::Point2d place = draws.place(mask.size());
    const double radius = draws.between(3, 6) / negative.pixel_mm;
    cv::circle(mask, fixed_point(place), fixed_point({radius, 0}).x, cv::Scalar(255), cv::FILLED,
               cv::LINE_AA, kShift);
    cv::GaussianBlur(mask, mask, {0, 0}, std::max(0.5, radius / 4));
    add_to_layers(negative, mask, density);
  }
}

}  // namespace simulator
