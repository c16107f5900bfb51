// SPDX-License-Identifier: GPL-3.0-or-later
#pragma once

#include <cstdint>
#include <string>
#include <vector>

namespace basefog::bench {

/// One tile as lossless JPEG [T.81, Annex H]: predictor 1, two interleaved components a mosaic row
/// pair of columns, 16-bit precision, as in DNG. width is even.
std::vector<std::uint8_t> lossless_jpeg(const std::uint16_t* samples, std::size_t row_stride,
                                        int width, int height);

/// A Bayer (RGGB) DNG with black 512 and white 16383, in square tiles of lossless JPEG.
void write_lossless_dng(const std::string& path, const std::vector<std::uint16_t>& mosaic,
                        int width, int height, int tile);

}  // namespace basefog::bench
