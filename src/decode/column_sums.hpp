// SPDX-License-Identifier: GPL-3.0-or-later
#pragma once

#include <cstddef>
#include <cstdint>
#include <vector>

#include "decode/block_sums.hpp"
#include "decode/light_table.hpp"

namespace basefog::decode {

/// Sums over one row of blocks, for samples of 16 bits and floats: a column at a time, so that
/// neighbouring samples are added by one instruction, and over each block's columns at the end.
class ColumnSums {
 public:
  /// block_edges: first column of each block, and the width; must outlive this object.
  ColumnSums(const LightTable& light, int channels, const std::vector<int>& block_edges);

  /// As BlockAccumulator's.
  template <class Sample>
  void add_pixels(const Sample* samples, int x, int columns, int stride) {
    light_.convert_pixels(samples, stride, columns, &row_[index(0, x)]);
  }
  template <class Sample>
  void add_channel(const Sample* samples, int channel, int x, int columns) {
    light_.convert_channel(samples, columns, channel, &row_[index(channel, x)]);
  }
  void end_row();
  BlockSums sums(std::size_t block, int channel) const;
  /// The next row is the first of another row of blocks.
  void clear() { empty_ = true; }

 private:
  std::size_t index(int channel, int x) const {
    return static_cast<std::size_t>(x) * channels_ + channel;
  }
  void start();
  void count_limits(std::size_t first, std::size_t count);
  template <class Value, class Sum>
  Sum over_block(const std::vector<Value>& columns, std::size_t block, int channel, Sum sum) const;

  const LightTable& light_;
  int channels_;
  const std::vector<int>& edges_;
  bool empty_ = true;
  std::vector<float> row_;  ///< light of the present row, the channels of a pixel side by side
  // One each column and channel. Light is taken relative to the block's first pixel so that float
  // sums keep the variance.
  std::vector<float> origin_;
  std::vector<float> sum_;
  std::vector<float> squares_;
  bool has_limits_ = false;  ///< any pixel clipped or floored
  std::vector<std::uint32_t> clipped_;
  std::vector<std::uint32_t> floored_;
};

}  // namespace basefog::decode
