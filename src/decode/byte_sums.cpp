// SPDX-License-Identifier: GPL-3.0-or-later
#include "decode/byte_sums.hpp"

#include <algorithm>

#include "decode/wide_loop.hpp"

namespace basefog::decode {

ByteSums::ByteSums(const LightTable& light, int channels, const std::vector<int>& block_edges)
    : channels_(channels),
      edges_(block_edges),
      blocks_(block_edges.size() - 1),
      tables_(light.has_one_curve() ? 1 : channels),
      sums_(channels * blocks_) {
  for (int c = 0; c < channels; ++c) {
    TermsOfCode& table = tables_[light.has_one_curve() ? 0 : c];
    of_code_[c] = &table;
    for (std::size_t code = 0; code < table.size(); ++code) {
      const auto sample = static_cast<std::uint8_t>(code);
      float value = 0;
      light.convert_channel(&sample, 1, c, &value);
      const double wide = value;
      table[code].all = Terms::Four{wide, wide * wide, value >= light.clip_light(c) ? 1.0 : 0.0,
                                    value <= light.floor_light(c) ? 1.0 : 0.0};
    }
  }
}

/// Adds the samples of columns x to end; edges and sums begin at the block that holds column x.
BASEFOG_WIDE_LOOP void ByteSums::add_one(const std::uint8_t* samples, std::size_t stride,
                                         const TermsOfCode& of_code, const int* edges, int x,
                                         int end, Terms* sums) {
  while (x < end) {
    const int block_end = std::min(*++edges, end);
    Terms::Four sum{};
    for (; x < block_end; ++x, samples += stride) sum += of_code[*samples].all;
    (sums++)->all += sum;
  }
}

/// The same for three channels side by side; the sums of a channel are `blocks` apart.
BASEFOG_WIDE_LOOP void ByteSums::add_three(const std::uint8_t* samples, std::size_t stride,
                                           const std::array<const TermsOfCode*, 3>& of_code,
                                           const int* edges, int x, int end, Terms* sums,
                                           std::size_t blocks) {
  const Terms* of_red = of_code[0]->data();
  const Terms* of_green = of_code[1]->data();
  const Terms* of_blue = of_code[2]->data();
  while (x < end) {
    const int block_end = std::min(*++edges, end);
    Terms::Four red{};
    Terms::Four green{};
    Terms::Four blue{};
    for (; x < block_end; ++x, samples += stride) {
      red += of_red[samples[0]].all;
      green += of_green[samples[1]].all;
      blue += of_blue[samples[2]].all;
    }
    sums[0].all += red;
    sums[blocks].all += green;
    sums[2 * blocks].all += blue;
    ++sums;
  }
}

std::size_t ByteSums::block_at(int x) const {
  const auto after = std::upper_bound(edges_.begin(), edges_.end(), x);
  return static_cast<std::size_t>(after - edges_.begin() - 1);
}

void ByteSums::add_pixels(const std::uint8_t* samples, int x, int columns, int stride) {
  if (channels_ == 1) return add_strided(samples, stride, 0, x, columns);
  const std::size_t block = block_at(x);
  add_three(samples, stride, of_code_, &edges_[block], x, x + columns, &sums_[block], blocks_);
}

void ByteSums::add_channel(const std::uint8_t* samples, int channel, int x, int columns) {
  add_strided(samples, 1, channel, x, columns);
}

void ByteSums::add_strided(const std::uint8_t* samples, std::size_t stride, int channel, int x,
                           int columns) {
  const std::size_t block = block_at(x);
  add_one(samples, stride, *of_code_[channel], &edges_[block], x, x + columns,
          &sums_[channel * blocks_ + block]);
}

BlockSums ByteSums::sums(std::size_t block, int channel) const {
  const Terms::Four& all = sums_[channel * blocks_ + block].all;
  return {.light = all[0], .squares = all[1], .clipped = all[2], .floored = all[3]};
}

void ByteSums::clear() { std::fill(sums_.begin(), sums_.end(), Terms{}); }

}  // namespace basefog::decode
