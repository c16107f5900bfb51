// SPDX-License-Identifier: GPL-3.0-or-later
#pragma once

#include <vector>

#include "area/film_tones.hpp"
#include "area/frame_edges.hpp"

namespace basefog::area {

/// A faint straight step against clear film: fog, flare and deep shadows are a few thousandths of
/// density above base, which shows only in the mean along a side.
struct FaintStep {
  double position = 0;  ///< in cells, across the side
  double height = 0;    ///< density
};

/// Faint steps upwards seen from one side inwards, largest first, at most a few. Lines run through
/// the whole window; cells that are plainly picture, mask or bare light do not count.
std::vector<FaintStep> find_faint_steps(const FilmTones& tones, const CellWindow& window,
                                        const Turn& turn, Side side);

}  // namespace basefog::area
