// SPDX-License-Identifier: GPL-3.0-or-later
#include "scan/block_accumulator.hpp"

#include <algorithm>
#include <cmath>
#include <utility>

#include "scan/orientation.hpp"
#include "scan/wide_loop.hpp"

namespace basefog {
namespace {

int divide_up(int a, int b) { return (a + b - 1) / b; }

/// 0 only for none and 255 only for all.
std::uint8_t share_of_255(std::uint32_t count, int of) {
  if (count == 0) return 0;
  if (count >= static_cast<std::uint32_t>(of)) return 255;
  return static_cast<std::uint8_t>(std::clamp(255.0 * count / of, 1.0, 254.0));
}

/// Few enough for the sums to stay in the nearest cache.
constexpr std::size_t kSamplesAtOnce = 1536;

/// Adds a row to the sums of its columns. True where any sample is at a limit. No arrays overlap.
BASEFOG_WIDE_LOOP bool add_columns(const float* __restrict row, const float* __restrict pivot,
                                   float* __restrict sum, float* __restrict squares,
                                   std::size_t count, float clip, float floor) {
  int at_limit = 0;
  for (std::size_t i = 0; i < count; ++i) {
    const float light = row[i];
    const float difference = light - pivot[i];
    sum[i] += difference;
    squares[i] += difference * difference;
    at_limit |= static_cast<int>(light >= clip) | static_cast<int>(light <= floor);
  }
  return at_limit != 0;
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
    : light_(light),
      width_(picture.width),
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

  const std::size_t samples = static_cast<std::size_t>(width_) * channels_;
  row_.resize(samples);
  pivot_.resize(samples);
  sum_.resize(samples);
  squares_.resize(samples);
  clipped_.resize(samples);
  floored_.resize(samples);

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
  if (rows_in_block_ == 0) start_block_row();
  add_row_to_columns();
  ++rows_;
  ++rows_in_block_;
  if ((rows_ + pad_y_) % side_ == 0 || rows_ == height_) end_block_row();
}

void BlockAccumulator::start_block_row() {
  for (std::size_t b = 0; b + 1 < edges_.size(); ++b) {
    for (int c = 0; c < channels_; ++c) {
      const float first = row_[index(c, edges_[b])];
      const std::size_t end = index(c, edges_[b + 1]);
      for (std::size_t i = index(c, edges_[b]); i < end; i += channels_) pivot_[i] = first;
    }
  }
  std::fill(sum_.begin(), sum_.end(), 0.0F);
  std::fill(squares_.begin(), squares_.end(), 0.0F);
  if (has_limits_) {
    std::fill(clipped_.begin(), clipped_.end(), 0U);
    std::fill(floored_.begin(), floored_.end(), 0U);
    has_limits_ = false;
  }
}

void BlockAccumulator::add_row_to_columns() {
  // The least and greatest of all channels, so that one pass serves; the count is exact.
  float clip = light_.clip_light(0);
  float floor = light_.floor_light(0);
  for (int c = 1; c < channels_; ++c) {
    clip = std::min(clip, light_.clip_light(c));
    floor = std::max(floor, light_.floor_light(c));
  }
  for (std::size_t i = 0; i < row_.size(); i += kSamplesAtOnce) {
    const std::size_t count = std::min(kSamplesAtOnce, row_.size() - i);
    if (add_columns(&row_[i], &pivot_[i], &sum_[i], &squares_[i], count, clip, floor))
      count_limits(i, count);
  }
}

/// first is a whole pixel's first sample.
void BlockAccumulator::count_limits(std::size_t first, std::size_t count) {
  has_limits_ = true;
  for (int c = 0; c < channels_; ++c) {
    const float clip = light_.clip_light(c);
    const float floor = light_.floor_light(c);
    for (std::size_t i = first + c; i < first + count; i += channels_) {
      clipped_[i] += row_[i] >= clip ? 1U : 0U;
      floored_[i] += row_[i] <= floor ? 1U : 0U;
    }
  }
}

/// Sum of one channel over the columns of a block.
template <class Value, class Sum>
Sum BlockAccumulator::over_block(const std::vector<Value>& columns, std::size_t block, int channel,
                                 Sum sum) const {
  const std::size_t end = index(channel, edges_[block + 1]);
  for (std::size_t i = index(channel, edges_[block]); i < end; i += channels_) sum += columns[i];
  return sum;
}

void BlockAccumulator::end_block_row() {
  for (int c = 0; c < channels_; ++c) {
    for (std::size_t b = 0; b + 1 < edges_.size(); ++b) {
      const double sum = over_block(sum_, b, c, 0.0F);
      const double squares = over_block(squares_, b, c, 0.0F);
      const int pixels = (edges_[b + 1] - edges_[b]) * rows_in_block_;
      const double mean = pivot_[index(c, edges_[b])] + sum / pixels;
      const double scatter = std::max(0.0, squares - sum * sum / pixels);
      const std::size_t block = stored_.index(c, static_cast<int>(b), finished_block_rows_);
      stored_.mean[block] = static_cast<float>(std::max(0.0, mean));
      stored_.variance[block] = pixels > 1 ? static_cast<float>(scatter / (pixels - 1)) : 0.0F;
      if (!has_limits_) continue;
      stored_.clipped[block] = share_of_255(over_block(clipped_, b, c, 0U), pixels);
      stored_.floored[block] = share_of_255(over_block(floored_, b, c, 0U), pixels);
    }
  }
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

}  // namespace basefog
