// SPDX-License-Identifier: GPL-3.0-or-later
#include "decode/block_accumulator.hpp"

#include <algorithm>
#include <cmath>
#include <utility>

#include "decode/orientation.hpp"

namespace basefog::decode {
namespace {

int divide_up(int a, int b) { return (a + b - 1) / b; }

/// 0 only for none and 255 only for all.
std::uint8_t share_of_255(double count, int of) {
  if (count <= 0) return 0;
  if (count >= of) return 255;
  return static_cast<std::uint8_t>(std::clamp(255.0 * count / of, 1.0, 254.0));
}

}  // namespace

int block_side_for(int width, int height, int most_blocks) {
  const double area = static_cast<double>(width) * height;
  int side = std::max(1, static_cast<int>(std::sqrt(area / most_blocks)));
  const auto blocks = [&](int s) {
    return static_cast<std::int64_t>(divide_up(width, s)) * divide_up(height, s);
  };
  while (blocks(side) > most_blocks) ++side;
  return side;
}

BlockAccumulator::BlockAccumulator(const Picture& picture, const LightTable& light, int most_blocks)
    : width_(picture.width),
      height_(picture.height),
      channels_(picture.channels),
      orientation_(picture.orientation),
      side_(block_side_for(picture.width, picture.height, most_blocks)) {
  // The upright picture has whole blocks at its upper left, so a stored picture that is turned over
  // begins with the partial ones.
  const int columns = divide_up(width_, side_);
  block_rows_ = divide_up(height_, side_);
  const int pad_x = flips_columns(orientation_) ? columns * side_ - width_ : 0;
  pad_y_ = flips_rows(orientation_) ? block_rows_ * side_ - height_ : 0;
  for (int b = 0; b < columns; ++b) edges_.push_back(std::max(0, b * side_ - pad_x));
  edges_.push_back(width_);

  if (picture.kind == SampleKind::u8)
    bytes_.emplace(light, channels_, edges_);
  else
    columns_.emplace(light, channels_, edges_);

  stored_.width = columns;
  stored_.height = block_rows_;
  stored_.channels = channels_;
  stored_.block_side = side_;
  const std::size_t blocks = static_cast<std::size_t>(columns) * block_rows_ * channels_;
  stored_.mean.resize(blocks);
  stored_.variance.resize(blocks);
  stored_.clipped.resize(blocks);
  stored_.floored.resize(blocks);
}

void BlockAccumulator::end_row() {
  if (columns_) columns_->end_row();
  ++rows_;
  ++rows_in_block_;
  if ((rows_ + pad_y_) % side_ == 0 || rows_ == height_) end_block_row();
}

void BlockAccumulator::end_block_row() {
  for (int c = 0; c < channels_; ++c) {
    for (std::size_t b = 0; b + 1 < edges_.size(); ++b) {
      const BlockSums sums = bytes_ ? bytes_->sums(b, c) : columns_->sums(b, c);
      const int pixels = (edges_[b + 1] - edges_[b]) * rows_in_block_;
      const double difference = sums.light / pixels;
      const double mean = sums.origin + difference;
      const double scatter = std::max(0.0, sums.squares - sums.light * difference);
      const std::size_t block = stored_.index(c, static_cast<int>(b), finished_block_rows_);
      stored_.mean[block] = static_cast<float>(std::max(0.0, mean));
      stored_.variance[block] = pixels > 1 ? static_cast<float>(scatter / (pixels - 1)) : 0.0F;
      stored_.clipped[block] = share_of_255(sums.clipped, pixels);
      stored_.floored[block] = share_of_255(sums.floored, pixels);
    }
  }
  if (bytes_)
    bytes_->clear();
  else
    columns_->clear();
  ++finished_block_rows_;
  rows_in_block_ = 0;
}

BlockImage BlockAccumulator::finish() {
  // A last row of blocks that the file cut short: its blocks are whole in width and stand at the
  // upright picture's lower or right edge, where partial blocks may be. Turned over it would stand
  // at the upper or left edge, where they may not.
  if (rows_in_block_ > 0 && (!flips_rows(orientation_) || finished_block_rows_ == 0))
    end_block_row();
  rows_ -= rows_in_block_;
  return upright(std::move(stored_), finished_block_rows_, orientation_);
}

}  // namespace basefog::decode
