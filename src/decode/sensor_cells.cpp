// SPDX-License-Identifier: GPL-3.0-or-later
#include "decode/sensor_cells.hpp"

#include <algorithm>
#include <utility>

namespace basefog::decode {

SensorCells::SensorCells(SensorLayout layout, BlockAccumulator& pixels)
    : layout_(std::move(layout)), pixels_(pixels) {
  sites_.resize(layout_.period);
  const std::size_t samples =
      static_cast<std::size_t>(cells(layout_.width, layout_)) * layout_.channels;
  sums_.resize(samples);
  saturated_.resize(samples);
}

const std::vector<SensorCells::Site>& SensorCells::sites_of(int row) {
  std::vector<Site>& sites = sites_[row % layout_.period];
  if (!sites.empty()) return sites;
  const int cell = layout_.cell;
  for (int column = 0; column < cells(layout_.width, layout_) * cell; ++column) {
    const int channel = layout_.channel(row, column);
    int same = 0;  // sites of this colour in the cell
    for (int r = 0; r < cell; ++r) {
      for (int c = 0; c < cell; ++c)
        same += layout_.channel(row / cell * cell + r, column / cell * cell + c) == channel;
    }
    const double black = layout_.black(row, column);
    sites.push_back({static_cast<std::uint32_t>(column / cell * layout_.channels + channel),
                     static_cast<float>(black),
                     static_cast<float>(1.0 / ((layout_.white - black) * same))});
  }
  return sites;
}

void SensorCells::add_row(const std::uint16_t* codes) {
  if (row_ / layout_.cell >= cells(layout_.height, layout_)) return;  // part of a last cell
  const std::vector<Site>& sites = sites_of(row_);
  std::uint16_t greatest = 0;
  for (std::size_t i = 0; i < sites.size(); ++i) {
    const Site& site = sites[i];
    sums_[site.place] += (static_cast<float>(codes[i]) - site.black) * site.gain;
    greatest = std::max(greatest, codes[i]);
  }
  if (greatest >= layout_.white) mark_saturated(codes, sites);
  if (++row_ % layout_.cell != 0) return;

  if (any_saturated_) {
    for (std::size_t i = 0; i < sums_.size(); ++i) {
      if (saturated_[i] != 0) sums_[i] = std::max(sums_[i], 1.0F);
    }
    std::fill(saturated_.begin(), saturated_.end(), std::uint8_t{0});
    any_saturated_ = false;
  }
  pixels_.add_pixels(sums_.data(), 0, cells(layout_.width, layout_), layout_.channels);
  pixels_.end_row();
  std::fill(sums_.begin(), sums_.end(), 0.0F);
}

void SensorCells::mark_saturated(const std::uint16_t* codes, const std::vector<Site>& sites) {
  any_saturated_ = true;
  for (std::size_t i = 0; i < sites.size(); ++i) {
    if (codes[i] >= layout_.white) saturated_[sites[i].place] = 1;
  }
}

}  // namespace basefog::decode
