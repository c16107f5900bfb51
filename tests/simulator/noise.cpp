// SPDX-License-Identifier: GPL-3.0-or-later
#include "simulator/noise.hpp"

#include <cmath>
#include <numbers>

namespace simulator {
namespace {

// SplitMix64, a counter-based mixer (public domain, S. Vigna).
std::uint64_t mix(std::uint64_t z) {
  z += 0x9e3779b97f4a7c15ULL;
  z = (z ^ (z >> 30U)) * 0xbf58476d1ce4e5b9ULL;
  z = (z ^ (z >> 27U)) * 0x94d049bb133111ebULL;
  return z ^ (z >> 31U);
}

}  // namespace

double Noise::uniform(std::uint64_t counter) const {
  return static_cast<double>(mix(mix(seed_) ^ mix(counter)) >> 11U) * 0x1.0p-53;
}

double Noise::normal(std::uint64_t counter) const {
  // Box and Muller; 1 - u keeps the logarithm finite.
  const double radius = std::sqrt(-2 * std::log(1 - uniform(2 * counter)));
  return radius * std::cos(2 * std::numbers::pi * uniform(2 * counter + 1));
}

Noise Noise::fork(std::uint64_t purpose) const { return Noise(mix(seed_ + 0x51ed27ULL) ^ purpose); }

cv::Mat normal_picture(cv::Size size, const Noise& noise) {
  cv::Mat picture(size, CV_32FC1);
  for (int y = 0; y < size.height; ++y) {
    auto* row = picture.ptr<float>(y);
    const std::uint64_t first = static_cast<std::uint64_t>(y) * size.width;
    for (int x = 0; x < size.width; ++x) row[x] = static_cast<float>(noise.normal(first + x));
  }
  return picture;
}

}  // namespace simulator
