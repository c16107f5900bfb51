// SPDX-License-Identifier: GPL-3.0-or-later
#include "bench/lossless_jpeg.hpp"

#include <tiffio.h>

#include <algorithm>
#include <bit>
#include <cstdlib>
#include <cstring>

namespace basefog::bench {
namespace {

/// Seventeen difference categories: fourteen codes of 4 bits and three of 5, none all ones.
struct Code {
  int bits;
  int value;
};

Code code_of(int category) {
  if (category < 14) return {4, category};
  return {5, 28 + (category - 14)};
}

class BitWriter {
 public:
  explicit BitWriter(std::vector<std::uint8_t>& out) : out_(out) {}
  void put(int count, std::uint32_t value) {
    held_ = (held_ << count) | value;
    bits_ += count;
    while (bits_ >= 8) {
      const auto byte = static_cast<std::uint8_t>(held_ >> (bits_ - 8));
      out_.push_back(byte);
      if (byte == 0xFF) out_.push_back(0);
      bits_ -= 8;
    }
  }
  void flush() {
    if (bits_ > 0) put(8 - bits_, (1U << (8 - bits_)) - 1);
  }

 private:
  std::vector<std::uint8_t>& out_;
  std::uint64_t held_ = 0;
  int bits_ = 0;
};

void put_difference(BitWriter& bits, int difference) {
  const int category =
      static_cast<int>(std::bit_width(static_cast<unsigned>(std::abs(difference))));
  const Code code = code_of(category);
  bits.put(code.bits, static_cast<std::uint32_t>(code.value));
  if (category == 0 || category == 16) return;
  const int extra = difference > 0 ? difference : difference + (1 << category) - 1;
  bits.put(category, static_cast<std::uint32_t>(extra));
}

void put_header(std::vector<std::uint8_t>& out, int columns, int height) {
  const auto high = [](int v) { return static_cast<std::uint8_t>(v >> 8); };
  const auto low = [](int v) { return static_cast<std::uint8_t>(v); };
  const std::vector<std::uint8_t> bytes = {
      0xFF,
      0xD8,  // start of image
      0xFF,
      0xC3,
      0,
      14,
      16,
      high(height),
      low(height),
      high(columns),
      low(columns),
      2,
      0,
      0x11,
      0,
      1,
      0x11,
      0,  // frame, 2 components
      0xFF,
      0xC4,
      0,
      36,
      0,  // table
      0,
      0,
      0,
      14,
      3,
      0,
      0,
      0,
      0,
      0,
      0,
      0,
      0,
      0,
      0,
      0,  // codes a length
      0,
      1,
      2,
      3,
      4,
      5,
      6,
      7,
      8,
      9,
      10,
      11,
      12,
      13,
      14,
      15,
      16,
      0xFF,
      0xDA,
      0,
      10,
      2,
      0,
      0,
      1,
      0,
      1,
      0,
      0,  // scan, predictor 1
  };
  out.insert(out.end(), bytes.begin(), bytes.end());
}

}  // namespace

std::vector<std::uint8_t> lossless_jpeg(const std::uint16_t* samples, std::size_t row_stride,
                                        int width, int height) {
  std::vector<std::uint8_t> out;
  put_header(out, width / 2, height);
  BitWriter bits(out);
  for (int y = 0; y < height; ++y) {
    const std::uint16_t* row = samples + y * row_stride;
    const std::uint16_t* above = row - row_stride;
    for (int x = 0; x < width; ++x) {
      const int predicted = x >= 2 ? row[x - 2] : y > 0 ? above[x] : 1 << 15;
      put_difference(bits, static_cast<std::int16_t>(row[x] - predicted));
    }
  }
  bits.flush();
  out.push_back(0xFF);
  out.push_back(0xD9);
  return out;
}

void write_lossless_dng(const std::string& path, const std::vector<std::uint16_t>& mosaic,
                        int width, int height, int tile) {
  constexpr std::uint8_t kVersion[] = {1, 4, 0, 0};
  constexpr std::uint16_t kPattern[] = {2, 2};
  constexpr std::uint8_t kColours[] = {0, 1, 1, 2};
  constexpr std::uint8_t kPlanes[] = {0, 1, 2};
  constexpr float kBlack[] = {512};
  constexpr std::uint32_t kWhite[] = {16383};
  constexpr float kMatrix[] = {1, 0, 0, 0, 1, 0, 0, 0, 1};
  constexpr float kNeutral[] = {1, 1, 1};
  TIFF* tiff = TIFFOpen(path.c_str(), "w");
  TIFFSetField(tiff, TIFFTAG_IMAGEWIDTH, width);
  TIFFSetField(tiff, TIFFTAG_IMAGELENGTH, height);
  TIFFSetField(tiff, TIFFTAG_BITSPERSAMPLE, 16);
  TIFFSetField(tiff, TIFFTAG_SAMPLESPERPIXEL, 1);
  TIFFSetField(tiff, TIFFTAG_PHOTOMETRIC, PHOTOMETRIC_CFA);
  TIFFSetField(tiff, TIFFTAG_PLANARCONFIG, PLANARCONFIG_CONTIG);
  TIFFSetField(tiff, TIFFTAG_COMPRESSION, COMPRESSION_JPEG);
  TIFFSetField(tiff, TIFFTAG_TILEWIDTH, tile);
  TIFFSetField(tiff, TIFFTAG_TILELENGTH, tile);
  TIFFSetField(tiff, TIFFTAG_MAKE, "Invented");
  TIFFSetField(tiff, TIFFTAG_MODEL, "Copy stand");
  TIFFSetField(tiff, TIFFTAG_DNGVERSION, kVersion);
  TIFFSetField(tiff, TIFFTAG_DNGBACKWARDVERSION, kVersion);
  TIFFSetField(tiff, TIFFTAG_UNIQUECAMERAMODEL, "Invented Copy stand");
  TIFFSetField(tiff, TIFFTAG_CFAREPEATPATTERNDIM, kPattern);
  TIFFSetField(tiff, TIFFTAG_CFAPATTERN, 4, kColours);
  TIFFSetField(tiff, TIFFTAG_CFAPLANECOLOR, 3, kPlanes);
  TIFFSetField(tiff, TIFFTAG_CFALAYOUT, 1);
  TIFFSetField(tiff, TIFFTAG_BLACKLEVEL, 1, kBlack);
  TIFFSetField(tiff, TIFFTAG_WHITELEVEL, 1, kWhite);
  TIFFSetField(tiff, TIFFTAG_COLORMATRIX1, 9, kMatrix);
  TIFFSetField(tiff, TIFFTAG_ASSHOTNEUTRAL, 3, kNeutral);
  TIFFSetField(tiff, TIFFTAG_CALIBRATIONILLUMINANT1, 21);
  std::vector<std::uint16_t> samples(static_cast<std::size_t>(tile) * tile);
  for (int y = 0; y < height; y += tile) {
    for (int x = 0; x < width; x += tile) {
      const int columns = std::min(tile, width - x);
      const int rows = std::min(tile, height - y);
      for (int r = 0; r < rows; ++r)
        std::memcpy(&samples[static_cast<std::size_t>(r) * tile],
                    &mosaic[static_cast<std::size_t>(y + r) * width + x], columns * 2U);
      auto bytes = lossless_jpeg(samples.data(), tile, tile, tile);
      TIFFWriteRawTile(tiff, TIFFComputeTile(tiff, x, y, 0, 0), bytes.data(),
                       static_cast<tmsize_t>(bytes.size()));
    }
  }
  TIFFClose(tiff);
}

}  // namespace basefog::bench
