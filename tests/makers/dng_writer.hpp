// SPDX-License-Identifier: GPL-3.0-or-later
#pragma once

#include <cstdint>
#include <string>
#include <vector>

namespace basefog::test {

/// What to write into a small DNG; 16 bits a sample.
struct DngLayout {
  int width = 0;
  int height = 0;
  int samples = 1;  ///< 1: a Bayer mosaic (RGGB) unless linear; 3: linear; 4: with infrared
  bool linear = false;
  bool planar = false;
  int tile = 0;  ///< side, multiple of 16; 0 for strips
  int compression = 1;
  float black = 512;
  std::uint32_t white = 16383;
  int orientation = 1;
  bool thumbnail = false;  ///< a small RGB picture first, the sensor values in a sub-directory
};

/// codes: rows of interleaved samples. Returns the path, in the test's temporary folder.
std::string write_dng(const std::string& name, const DngLayout& layout,
                      const std::vector<std::uint16_t>& codes);

}  // namespace basefog::test
