// SPDX-License-Identifier: GPL-3.0-or-later
#pragma once

#include <cstdint>
#include <optional>
#include <string>
#include <vector>

namespace basefog::test {

/// A small 16-bit TIFF to write.
struct TiffLayout {
  int width = 0;
  int height = 0;
  int samples = 1;
  int photometric = 1;                 ///< min-is-black; 2 RGB
  std::optional<std::uint16_t> extra;  ///< kind of the last sample (EXTRASAMPLE_...)
  int orientation = 1;
  int rows_per_strip = 8;
  int compression = 1;
};

/// A small PNG to write.
struct PngLayout {
  int width = 0;
  int height = 0;
  int bits = 16;
  int colour_type = 2;  ///< 0 gray, 2 RGB, 4 gray and alpha, 6 RGB and alpha
  bool interlaced = false;
  std::optional<double> gamma;  ///< of the file: 1 / 2.2 for light = code^2.2
  bool srgb = false;
};

/// All write to the test's temporary folder and return the path. Samples are interleaved.
std::string temporary(const std::string& name);
std::string write_tiff(const std::string& name, const TiffLayout& layout,
                       const std::vector<std::uint16_t>& samples);
std::string write_png(const std::string& name, const PngLayout& layout,
                      const std::vector<std::uint16_t>& samples);
/// components: 1 gray, 3 RGB, 4 CMYK. Quality 100, no subsampling.
std::string write_jpeg(const std::string& name, int width, int height, int components,
                       const std::vector<std::uint8_t>& samples);

std::string bytes_of(const std::string& path);
std::string write_bytes(const std::string& name, const std::string& bytes);

}  // namespace basefog::test
