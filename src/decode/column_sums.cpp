// SPDX-License-Identifier: GPL-3.0-or-later
#include "decode/column_sums.hpp"

#include <algorithm>

#include "decode/wide_loop.hpp"

namespace basefog::decode {
namespace {

/// Few enough for the sums to stay in the nearest cache.
constexpr std::size_t kSamplesAtOnce = 1536;

/// Adds a row to the sums of its columns. True where any sample is at a limit. No arrays overlap.
BASEFOG_WIDE_LOOP bool add_columns(const float* __restrict row, const float* __restrict origin,
                                   float* __restrict sum, float* __restrict squares,
                                   std::size_t count, float clip, float floor) {
  int at_limit = 0;
  for (std::size_t i = 0; i < count; ++i) {
    const float light = row[i];
    const float difference = light - origin[i];
    sum[i] += difference;
    squares[i] += difference * difference;
    at_limit |= static_cast<int>(light >= clip) | static_cast<int>(light <= floor);
  }
  return at_limit != 0;
}

}  // namespace

ColumnSums::ColumnSums(const LightTable& light, int channels, const std::vector<int>& block_edges)
    : light_(light), channels_(channels), edges_(block_edges) {
  const std::size_t samples = index(0, edges_.back());
  row_.resize(samples);
  origin_.resize(samples);
  sum_.resize(samples);
  squares_.resize(samples);
  clipped_.resize(samples);
  floored_.resize(samples);
}

void ColumnSums::start() {
  for (std::size_t b = 0; b + 1 < edges_.size(); ++b) {
    for (int c = 0; c < channels_; ++c) {
      const float first = row_[index(c, edges_[b])];
      const std::size_t end = index(c, edges_[b + 1]);
      for (std::size_t i = index(c, edges_[b]); i < end; i += channels_) origin_[i] = first;
    }
  }
  std::fill(sum_.begin(), sum_.end(), 0.0F);
  std::fill(squares_.begin(), squares_.end(), 0.0F);
  if (has_limits_) {
    std::fill(clipped_.begin(), clipped_.end(), 0U);
    std::fill(floored_.begin(), floored_.end(), 0U);
    has_limits_ = false;
  }
  empty_ = false;
}

void ColumnSums::end_row() {
  if (empty_) start();
  // The least and greatest of all channels, so that one pass serves; the count is exact.
  float clip = light_.clip_light(0);
  float floor = light_.floor_light(0);
  for (int c = 1; c < channels_; ++c) {
    clip = std::min(clip, light_.clip_light(c));
    floor = std::max(floor, light_.floor_light(c));
  }
  for (std::size_t i = 0; i < row_.size(); i += kSamplesAtOnce) {
    const std::size_t count = std::min(kSamplesAtOnce, row_.size() - i);
    if (add_columns(&row_[i], &origin_[i], &sum_[i], &squares_[i], count, clip, floor))
      count_limits(i, count);
  }
}

/// first is a whole pixel's first sample.
void ColumnSums::count_limits(std::size_t first, std::size_t count) {
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
Sum ColumnSums::over_block(const std::vector<Value>& columns, std::size_t block, int channel,
                           Sum sum) const {
  const std::size_t end = index(channel, edges_[block + 1]);
  for (std::size_t i = index(channel, edges_[block]); i < end; i += channels_) sum += columns[i];
  return sum;
}

BlockSums ColumnSums::sums(std::size_t block, int channel) const {
  BlockSums sums{.origin = origin_[index(channel, edges_[block])],
                 .light = over_block(sum_, block, channel, 0.0F),
                 .squares = over_block(squares_, block, channel, 0.0F)};
  if (has_limits_) {
    sums.clipped = over_block(clipped_, block, channel, 0U);
    sums.floored = over_block(floored_, block, channel, 0U);
  }
  return sums;
}

}  // namespace basefog::decode
