// SPDX-License-Identifier: GPL-3.0-or-later
#pragma once

#include <cstdint>
#include <vector>

#include "basefog/scan.hpp"
#include "scan/light_table.hpp"
#include "scan/picture.hpp"

namespace basefog {

/// Side of the smallest square blocks that cover width x height pixels with at most most_blocks.
int block_side_for(int width, int height, int most_blocks);

/// Takes the rows of a stored picture, top row first, and sums their light into blocks. Holds one
/// row of blocks besides the block image, so its memory does not grow with the scan.
class BlockAccumulator {
 public:
  BlockAccumulator(const Picture& picture, const LightTable& light, int most_blocks);

  /// `columns` pixels of the present row from column x on, `stride` samples apart, the picture's
  /// channels next to each other from the first sample on.
  template <class Sample>
  void add_pixels(const Sample* samples, int x, int columns, int stride) {
    light_.convert_pixels(samples, stride, columns, &row_[index(0, x)]);
  }
  /// The same for one channel of a planar file.
  template <class Sample>
  void add_channel(const Sample* samples, int channel, int x, int columns) {
    light_.convert_channel(samples, columns, channel, &row_[index(channel, x)]);
  }
  /// The present row is complete.
  void end_row();

  int rows_added() const { return rows_; }
  /// The upright block image of the rows added so far, at least one; leaves the accumulator empty.
  /// Where the file was cut short it covers only what was read, upright height or width shrinking
  /// to match.
  BlockImage finish();
  /// Stored rows that the block image covers; after finish().
  int rows_covered() const { return rows_; }

 private:
  std::size_t index(int channel, int x) const {
    return static_cast<std::size_t>(x) * channels_ + channel;
  }
  void start_block_row();
  void add_row_to_columns();
  void count_limits(std::size_t first, std::size_t count);
  void end_block_row();
  template <class Value, class Sum>
  Sum over_block(const std::vector<Value>& columns, std::size_t block, int channel, Sum sum) const;

  const LightTable& light_;
  int width_;
  int height_;
  int channels_;
  int orientation_;
  int side_;
  int pad_y_ = 0;           ///< rows by which the first stored row of blocks is short
  std::vector<int> edges_;  ///< first column of each block, and the width
  int block_rows_ = 0;      ///< of the whole picture
  int rows_ = 0;
  int rows_in_block_ = 0;
  int finished_block_rows_ = 0;
  std::vector<float> row_;  ///< light of the present row, the channels of a pixel side by side
  // Sums over the rows of the present row of blocks, one each column and channel. Light is taken
  // relative to the block's first pixel so that float sums keep the variance.
  std::vector<float> pivot_;
  std::vector<float> sum_;
  std::vector<float> squares_;
  bool has_limits_ = false;  ///< any pixel clipped or floored in this row of blocks
  std::vector<std::uint32_t> clipped_;
  std::vector<std::uint32_t> floored_;
  BlockImage stored_;  ///< in stored orientation
};

}  // namespace basefog
