// SPDX-License-Identifier: GPL-3.0-or-later
#pragma once

#include <cstddef>
#include <cstdint>
#include <functional>
#include <optional>
#include <span>
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

/// A rectangle of blocks.
struct BlockWindow {
  int x = 0;
  int y = 0;
  int width = 0;
  int height = 0;
};

/// Takes the rows of a stored picture, top row first, and sums their light into blocks. Holds one
/// row of blocks besides the block image, so its memory does not grow with the scan.
class BlockAccumulator {
 public:
  BlockAccumulator(const Picture& picture, const LightTable& light, int most_blocks);
  using TakeWindow = std::function<void(std::size_t window, BlockImage blocks)>;
  /// Keeps windows of the upright picture alone, in blocks of `side` pixels, and hands each over,
  /// upright, when its last row is there. There is nothing to finish().
  BlockAccumulator(const Picture& picture, const LightTable& light, int side,
                   std::span<const BlockWindow> windows, TakeWindow take);
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
  /// Blocks that are kept, and where they lie among all as stored.
  struct Part {
    BlockWindow place;
    BlockImage image;
  };
  void end_block_row();
  void allocate(Part& part) const;
  void keep_row(Part& part) const;
  /// A window of the upright picture as it lies in the stored one.
  BlockWindow as_stored(const BlockWindow& upright) const;

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
  std::vector<Part> parts_;  ///< in stored orientation
  TakeWindow take_;
};

}  // namespace basefog::decode
