// SPDX-License-Identifier: GPL-3.0-or-later
#pragma once

#include <optional>
#include <vector>

#include "basefog/area/film_area.hpp"
#include "basefog/scan/scan.hpp"

namespace basefog::area {

/// The tones that a scan of film is made of, separated by light alone; where the film lies is not
/// known yet. One value a cell, index y * width + x; a cell is step x step blocks, so many that
/// grain and noise do not hide the tones.
struct FilmTones {
  int width = 0;   ///< cells
  int height = 0;  ///< cells
  int step = 1;    ///< blocks a cell
  /// Mean over the channels, against full scale, as under the light of the scan's centre.
  std::vector<float> density;
  std::vector<bool> clipped;    ///< at the white limit
  std::vector<AreaKind> kind;   ///< picture stands for all that is none of the others
  std::optional<double> bare;   ///< density of bare light, where there is some
  std::optional<double> clear;  ///< density of the clearest film tone, if there is one
  double clear_sigma = 0.01;    ///< spread of that tone from cell to cell
  bool mounted = false;         ///< frames lie in opaque mounts on bare light

  std::size_t index(int x, int y) const { return static_cast<std::size_t>(y) * width + x; }
  float at(int x, int y) const { return density[index(x, y)]; }
  bool content(int x, int y) const { return kind[index(x, y)] == AreaKind::picture; }
};

/// Separates mask, bare light, the clearest film tone and the rest.
FilmTones find_tones(const decode::BlockImage& blocks, bool light_known);

}  // namespace basefog::area
