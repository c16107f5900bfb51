// SPDX-License-Identifier: GPL-3.0-or-later
#pragma once

#include <cstdint>
#include <optional>
#include <vector>

#include "basefog/film_area.hpp"
#include "basefog/scan.hpp"

namespace basefog {

/// The tones that a scan of film is made of, told apart by light alone; where the film lies is not
/// known yet. One value a block, index y * width + x.
struct FilmTones {
  int width = 0;
  int height = 0;
  std::vector<float> density;   ///< mean over the channels, against full scale
  std::vector<AreaKind> kind;   ///< picture stands for all that is none of the others
  std::optional<double> bare;   ///< density of bare light, where there is some
  std::optional<double> clear;  ///< density of the clearest film tone, if it is a narrow one
  double clear_sigma = 0.01;    ///< spread of that tone from block to block
  std::optional<double> mask;   ///< light of the opaque mask: the scan's flare

  bool content(int x, int y) const {
    return kind[static_cast<std::size_t>(y) * width + x] == AreaKind::picture;
  }
};

/// Tells mask, bare light, the clearest film tone and the rest apart.
FilmTones find_tones(const BlockImage& blocks, bool light_known);

}  // namespace basefog
