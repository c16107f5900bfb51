// SPDX-License-Identifier: GPL-3.0-or-later
#pragma once

#include <cstdint>
#include <functional>
#include <vector>

#include "decode/block_accumulator.hpp"

namespace basefog::decode {

/// How a sensor's sites stand for colours and what each reads in the dark.
struct SensorLayout {
  int width = 0;     ///< sites
  int height = 0;    ///< sites
  int cell = 2;      ///< side of the smallest square that holds every colour: 1, 2 (Bayer), 3
  int channels = 3;  ///< 1 or 3
  int period = 2;    ///< rows after which colours and black levels repeat
  double white = 0;  ///< code at saturation
  std::function<int(int row, int column)> channel;
  std::function<double(int row, int column)> black;
};

/// Turns rows of sensor codes into pixels, one a cell: the mean of the sites of each colour, black
/// level off, relative to saturation. Nothing is interpolated and nothing rounded. A cell with a
/// saturated site of a colour is at least 1 in that colour.
class SensorCells {
 public:
  SensorCells(SensorLayout layout, BlockAccumulator& pixels);

  static int cells(int sites, const SensorLayout& layout) { return sites / layout.cell; }
  void add_row(const std::uint16_t* codes);

 private:
  struct Site {
    std::uint32_t place;  ///< of its colour in the row of pixels
    float black;
    float gain;
  };
  const std::vector<Site>& sites_of(int row);
  void mark_saturated(const std::uint16_t* codes, const std::vector<Site>& sites);

  SensorLayout layout_;
  BlockAccumulator& pixels_;
  int row_ = 0;
  std::vector<std::vector<Site>> sites_;  ///< one row for each of a period
  std::vector<float> sums_;
  std::vector<std::uint8_t> saturated_;
  bool any_saturated_ = false;
};

}  // namespace basefog::decode
