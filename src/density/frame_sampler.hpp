// SPDX-License-Identifier: GPL-3.0-or-later
#pragma once

#include <algorithm>
#include <array>
#include <cmath>
#include <cstddef>
#include <numbers>
#include <vector>

#include "basefog/area/film_area.hpp"
#include "basefog/scan/scan.hpp"

namespace basefog::density {

/// Means over blocks of one channel.
struct Reading {
  double light = 0;
  double pixel_variance = 0;  ///< of pixels within blocks
  double scatter = 0;         ///< variance from block to block, less the picture's own slope
  double clipped = 0;
  double floored = 0;
};

/// Reads the block image in a frame's own coordinates, in pixels from its upper left corner.
class FrameSampler {
 public:
  FrameSampler(const decode::BlockImage& blocks, const area::FrameRegion& region)
      : blocks_(blocks), region_(region) {
    const double a = region.angle_degrees * std::numbers::pi / 180;
    cosine_ = std::cos(a);
    sine_ = std::sin(a);
  }

  double scan_x(double u, double v) const { return across(u).x + down(v).x; }
  double scan_y(double u, double v) const { return across(u).y + down(v).y; }

  /// A place on the scan, or the part of it that one coordinate brings: a place is
  /// across(u) + down(v), so that over a grid of points each part is worked out once.
  struct Place {
    double x;
    double y;
  };
  Place across(double u) const {
    const double off = u - region_.width / 2;
    return {region_.centre_x + off * cosine_, region_.centre_y - off * sine_};
  }
  Place down(double v) const {
    const double off = v - region_.height / 2;
    return {off * sine_, off * cosine_};
  }

  struct Block {
    std::size_t index = 0;
    bool inner = false;  ///< has a neighbour on either side in its row
  };

  /// Block that holds a place; the nearest one for places off the scan.
  Block block_at(const Place& across, const Place& down) const {
    const double x = across.x + down.x;
    const double y = across.y + down.y;
    const int bx = std::clamp(static_cast<int>(x / blocks_.block_side), 0, blocks_.width - 1);
    const int by = std::clamp(static_cast<int>(y / blocks_.block_side), 0, blocks_.height - 1);
    return {static_cast<std::size_t>(by) * blocks_.width + bx, bx > 0 && bx + 1 < blocks_.width};
  }

  /// The blocks of a square with its corner at (u, v), each as often as points of an even grid fall
  /// on it.
  std::vector<Block> blocks_of(double u, double v, double side) const {
    const int n = std::clamp(static_cast<int>(std::ceil(2 * side / blocks_.block_side)), 2, 32);
    const double step = side / n;
    std::array<Place, 32> columns{};
    for (int i = 0; i < n; ++i) columns[i] = across(u + (i + 0.5) * step);
    std::vector<Block> out;
    out.reserve(static_cast<std::size_t>(n) * n);
    for (int j = 0; j < n; ++j) {
      const Place row = down(v + (j + 0.5) * step);
      for (int i = 0; i < n; ++i) out.push_back(block_at(columns[i], row));
    }
    return out;
  }

  /// Mean over blocks.
  Reading reading(int channel, const std::vector<Block>& blocks) const {
    const std::size_t plane = static_cast<std::size_t>(blocks_.width) * blocks_.height * channel;
    Reading r;
    double high_pass = 0;
    for (const Block& block : blocks) {
      const std::size_t b = plane + block.index;
      r.light += blocks_.mean[b];
      r.pixel_variance += blocks_.variance[b];
      r.clipped += blocks_.clipped[b];
      r.floored += blocks_.floored[b];
      if (block.inner) high_pass += second_difference(b);
    }
    const auto count = static_cast<double>(blocks.size());
    r.light /= count;
    r.pixel_variance /= count;
    r.clipped /= 255 * count;
    r.floored /= 255 * count;
    r.scatter = high_pass / count;
    return r;
  }

  double light(int channel, std::size_t block) const {
    return blocks_.mean[static_cast<std::size_t>(blocks_.width) * blocks_.height * channel + block];
  }

 private:
  /// Variance of noise at a block from its neighbours in a row: (a - 2b + c)² / 6 removes a slope.
  double second_difference(std::size_t b) const {
    const double d = blocks_.mean[b - 1] - 2.0 * blocks_.mean[b] + blocks_.mean[b + 1];
    return d * d / 6;
  }

  const decode::BlockImage& blocks_;
  area::FrameRegion region_;
  double cosine_;
  double sine_;
};

/// Density against full scale of light, which is taken to be area::kLeastLight or more.
inline float density_of(double light) {
  return static_cast<float>(-std::log10(std::max(light, area::kLeastLight)));
}

}  // namespace basefog::density
