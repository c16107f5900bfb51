// SPDX-License-Identifier: GPL-3.0-or-later
#pragma once

#include <cstdint>
#include <optional>
#include <type_traits>
#include <vector>

#include "basefog/decode/block_image.hpp"
#include "decode/byte_sums.hpp"
#include "decode/column_sums.hpp"
#include "decode/light_table.hpp"
#include "decode/picture.hpp"

namespace basefog::decode {

/// Side of the smallest square blocks that cover width x height pixels with at most most_blocks.
int block_side_for(int width, int height, int most_blocks);

/// Takes the rows of a stored picture, top row first, and sums their light into blocks. Holds one
/// row of blocks besides the block image, so its memory does not grow with the scan.
class BlockAccumulator {
 public:
  BlockAccumulator(const Picture& picture, const LightTable& light, int most_blocks);
  BlockAccumulator(const BlockAccumulator&) = delete;  // the sums refer to the edges
  BlockAccumulator& operator=(const BlockAccumulator&) = delete;

  /// `columns` pixels of the present row from column x on, `stride` samples apart, the picture's
  /// channels next to each other from the first sample on. Samples are of the picture's kind.
  template <class Sample>
  void add_pixels(const Sample* samples, int x, int columns, int stride) {
    sums_for<Sample>().add_pixels(samples, x, columns, stride);
  }
  /// The same for one channel of a planar file.
  template <class Sample>
  void add_channel(const Sample* samples, int channel, int x, int columns) {
    sums_for<Sample>().add_channel(samples, channel, x, columns);
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
  template <class Sample>
  auto& sums_for() {
    if constexpr (std::is_same_v<Sample, std::uint8_t>)
      return *bytes_;
    else
      return *columns_;
  }
  void end_block_row();

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
  // Sums over the present row of blocks: one of the two, by the kind of samples.
  std::optional<ByteSums> bytes_;
  std::optional<ColumnSums> columns_;
  BlockImage stored_;  ///< in stored orientation
};

}  // namespace basefog::decode
