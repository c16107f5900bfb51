// SPDX-License-Identifier: GPL-3.0-or-later
#pragma once

#include <cstdint>
#include <opencv2/core.hpp>

namespace simulator {

/// Random numbers that depend only on (seed, counter): the same on every run and in any order.
class Noise {
 public:
  explicit Noise(std::uint64_t seed) : seed_(seed) {}
  /// Uniform in [0, 1).
  double uniform(std::uint64_t counter) const;
  /// Standard normal.
  double normal(std::uint64_t counter) const;
  /// An independent generator for another use.
  Noise fork(std::uint64_t purpose) const;

 private:
  std::uint64_t seed_;
};

/// A picture of independent standard normal values, CV_32FC1.
cv::Mat normal_picture(cv::Size size, const Noise& noise);

}  // namespace simulator
