// SPDX-License-Identifier: GPL-3.0-or-later
#include "simulator/scanner.hpp"

#include <algorithm>
#include <cmath>
#include <functional>
#include <opencv2/imgproc.hpp>
#include <stdexcept>

#include "simulator/noise.hpp"

namespace simulator {
namespace {

// How a gray scan weighs the light of red, green and blue (common practice: mostly green).
const std::vector<double> kGrayMix = {0.3, 0.6, 0.1};

void for_each(cv::Mat& picture, const std::function<float(float, int x, int y)>& f) {
  for (int y = 0; y < picture.rows; ++y) {
    auto* row = picture.ptr<float>(y);
    for (int x = 0; x < picture.cols; ++x) row[x] = f(row[x], x, y);
  }
}

/// Light through the bed in the colour of one layer, 1 for no film at all.
cv::Mat light_through(const Negative& negative, const Film& film, std::size_t layer,
                      const Scanner& scanner, std::uint64_t seed) {
  cv::Mat light;
  cv::extractChannel(negative.density, light, static_cast<int>(layer));
  add_grain(light, film, layer, negative.pixel_mm, seed);
  for (int y = 0; y < light.rows; ++y) {
    auto* row = light.ptr<float>(y);
    const auto* on_film = negative.film.ptr<std::uint8_t>(y);
    const auto* open = negative.open.ptr<std::uint8_t>(y);
    const auto* dust = negative.dust.ptr<std::uint8_t>(y);
    for (int x = 0; x < light.cols; ++x) {
      const double cover = on_film[x] / 255.0;
      const double through = cover * std::pow(10.0, -row[x]) + 1 - cover;
      const double clean = through * (open[x] / 255.0) + scanner.holder_leak;
      row[x] = static_cast<float>(clean * (1 - 0.95 * dust[x] / 255.0));
    }
  }
  return light;
}

void shine_unevenly(cv::Mat& light, const Scanner& scanner) {
  if (scanner.fall_off == 0 && scanner.lean == 0) return;
  const double w = light.cols;
  const double h = light.rows;
  for_each(light, [&](float v, int x, int y) {
    const double dx = (x + 0.5) / w * 2 - 1;
    const double dy = (y + 0.5) / h * 2 - 1;
    const double lamp =
        1 - scanner.fall_off * (dx * dx + dy * dy) / 2 - scanner.lean * (dx + 1) / 2;
    return static_cast<float>(v * lamp);
  });
}

void add_flare(cv::Mat& light, const Scanner& scanner) {
  if (scanner.flare <= 0) return;
  // The wide part is smooth: it is made on a copy at about 0.5 mm a pixel.
  const double shrink = std::min(1.0, scanner.pixel_mm / 0.5);
  cv::Mat wide;
  cv::resize(light, wide, {}, shrink, shrink, cv::INTER_AREA);
  cv::GaussianBlur(wide, wide, {0, 0}, scanner.flare_mm / scanner.pixel_mm * shrink, 0,
                   cv::BORDER_REPLICATE);
  cv::resize(wide, wide, light.size(), 0, 0, cv::INTER_LINEAR);
  const double all = cv::mean(light)[0];
  light = light * (1 - scanner.flare) + wide * (scanner.flare / 2);
  light += cv::Scalar(all * scanner.flare / 2);
}

void add_noise(cv::Mat& light, const Scanner& scanner, const Noise& noise) {
  for_each(light, [&](float v, int x, int y) {
    const std::uint64_t place = static_cast<std::uint64_t>(y) * light.cols + x;
    const double variance =
        scanner.read_noise * scanner.read_noise + std::max(0.0F, v) / scanner.full_well;
    return static_cast<float>(v + std::sqrt(variance) * noise.normal(place));
  });
}

double encoded(double light, const Scanner& scanner) {
  switch (scanner.encoding) {
    case Encoding::linear:
      return light;
    case Encoding::srgb:
      return light <= 0.0031308 ? 12.92 * light : 1.055 * std::pow(light, 1 / 2.4) - 0.055;
  }
  return light;
}

cv::Mat digitised(cv::Mat light, const Scanner& scanner) {
  for_each(light, [&](float v, int, int) {
    return static_cast<float>(encoded(std::clamp(v * 1.0, 0.0, 1.0), scanner));
  });
  cv::Mat codes;
  // convertTo rounds and clips to the type.
  light.convertTo(codes, scanner.bits == 8 ? CV_8U : CV_16U, scanner.bits == 8 ? 255 : 65535);
  return codes;
}

}  // namespace

ScanImage scan(const Bed& bed, const Film& film, const Scanner& scanner, std::uint64_t seed) {
  return scan(lay_out(bed, film, scanner.pixel_mm), film, scanner, seed);
}

ScanImage scan(const Negative& negative, const Film& film, const Scanner& scanner,
               std::uint64_t seed) {
  if (scanner.channels != 1 && scanner.channels != 3) {
    throw std::invalid_argument("a scanner has 1 or 3 channels");
  }
  const std::size_t layers = film.layers.size();
  std::vector<cv::Mat> through;
  for (std::size_t c = 0; c < layers; ++c) {
    through.push_back(light_through(negative, film, c, scanner, seed));
  }
  std::vector<double> base;
  for (const double d : film.base) base.push_back(std::pow(10.0, -d));
  if (scanner.channels == 1 && layers == 3) {
    through = {through[0] * kGrayMix[0] + through[1] * kGrayMix[1] + through[2] * kGrayMix[2]};
    base = {base[0] * kGrayMix[0] + base[1] * kGrayMix[1] + base[2] * kGrayMix[2]};
  }
  ScanImage result;
  result.encoding = scanner.encoding;
  result.pixel_mm = negative.pixel_mm;
  result.frames = negative.frames;
  std::vector<cv::Mat> codes;
  for (int c = 0; c < scanner.channels; ++c) {
    const std::size_t from = through.size() == 1 ? 0 : c;
    cv::Mat light = through[from].clone();
    shine_unevenly(light, scanner);
    add_flare(light, scanner);
    if (scanner.blur_pixels > 0.2) cv::GaussianBlur(light, light, {0, 0}, scanner.blur_pixels);
    const auto respond = [&](double v) {
      return std::pow(std::max(0.0, v), scanner.response_exponent);
    };
    if (scanner.response_exponent != 1) {
      for_each(light, [&](float v, int, int) { return static_cast<float>(respond(v)); });
    }
    const double gain = scanner.gain.at(scanner.gain.size() == 1 ? 0 : c);
    light = light * gain;
    result.base_light.push_back(gain * respond(base[from]));
    add_noise(light, scanner, Noise(seed).fork(100 + c));
    codes.push_back(digitised(light, scanner));
  }
  cv::merge(codes, result.codes);
  return result;
}

ScanImage cropped(const ScanImage& scan, std::size_t frame, double inset) {
  const auto& corners = scan.frames.at(frame).corners;
  // The largest upright rectangle inside the leaning frame, then the inset.
  std::vector<double> xs;
  std::vector<double> ys;
  for (const cv::Point2d& p : corners) {
    xs.push_back(p.x);
    ys.push_back(p.y);
  }
  std::sort(xs.begin(), xs.end());
  std::sort(ys.begin(), ys.end());
  const double margin = inset * std::max(xs[2] - xs[1], ys[2] - ys[1]);
  const int left = static_cast<int>(std::ceil(xs[1] + margin));
  const int top = static_cast<int>(std::ceil(ys[1] + margin));
  const cv::Rect cut = cv::Rect(left, top, static_cast<int>(xs[2] - margin) - left,
                                static_cast<int>(ys[2] - margin) - top) &
                       cv::Rect({0, 0}, scan.codes.size());
  ScanImage result = scan;
  result.codes = scan.codes(cut).clone();
  result.frames = {scan.frames[frame]};
  for (cv::Point2d& p : result.frames[0].corners) p -= cv::Point2d(cut.tl());
  return result;
}

}  // namespace simulator
