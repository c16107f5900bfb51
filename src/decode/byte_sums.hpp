// SPDX-License-Identifier: GPL-3.0-or-later
#pragma once

#include <array>
#include <cstddef>
#include <cstdint>
#include <vector>

#include "decode/block_sums.hpp"
#include "decode/light_table.hpp"

namespace basefog::decode {

/// Sums over one row of blocks, for samples of 8 bits: all that a code adds to a block is looked up
/// at once and added in one step, so that nothing is computed for each pixel.
class ByteSums {
 public:
  /// block_edges: first column of each block, and the width; must outlive this object.
  ByteSums(const LightTable& light, int channels, const std::vector<int>& block_edges);

  /// As BlockAccumulator's.
  void add_pixels(const std::uint8_t* samples, int x, int columns, int stride);
  void add_channel(const std::uint8_t* samples, int channel, int x, int columns);
  BlockSums sums(std::size_t block, int channel) const;
  /// All sums back to zero.
  void clear();

 private:
  /// Light, its square, clipped and floored side by side, so that one addition serves all four.
  /// Aligned by hand: without AVX the compiler aligns less, with it it relies on more.
  struct alignas(4 * sizeof(double)) Terms {
    using Four = double __attribute__((vector_size(4 * sizeof(double))));
    Four all{};
  };
  using TermsOfCode = std::array<Terms, 256>;

  static void add_one(const std::uint8_t* samples, std::size_t stride, const TermsOfCode& of_code,
                      const int* edges, int x, int end, Terms* sums);
  static void add_three(const std::uint8_t* samples, std::size_t stride,
                        const std::array<const TermsOfCode*, 3>& of_code, const int* edges, int x,
                        int end, Terms* sums, std::size_t blocks);
  void add_strided(const std::uint8_t* samples, std::size_t stride, int channel, int x,
                   int columns);
  std::size_t block_at(int x) const;

  int channels_;
  const std::vector<int>& edges_;
  std::size_t blocks_;
  std::vector<TermsOfCode> tables_;              ///< one, or one each channel
  std::array<const TermsOfCode*, 3> of_code_{};  ///< each channel's
  std::vector<Terms> sums_;                      ///< channel, then block
};

}  // namespace basefog::decode
