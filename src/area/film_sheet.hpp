// SPDX-License-Identifier: GPL-3.0-or-later
#pragma once

#include <vector>

#include "area/film_tones.hpp"
#include "area/frame_outline.hpp"
#include "basefog/area/layout_hint.hpp"

namespace basefog::area {

/// A strip on a scan, or a single frame.
struct SheetStrip {
  int x0 = 0;  ///< where the outlines' cells begin on the scan, cells
  int y0 = 0;
  std::vector<FrameOutline> frames;  ///< in film order
  bool other_size = false;           ///< than most frames of the sheet have
};

/// Finds all strips and single frames of a scan, in film order: as they are read, unless the hint
/// says otherwise. Strips of one sheet hold pictures of one size. Empty where no edges are seen.
std::vector<SheetStrip> find_sheet(const FilmTones& tones, const LayoutHint& hint);

/// Whether clear film was surely seen beside a frame: straight edges against it along half a side,
/// or less on two sides that meet. A lone short one could be a building in a cropped picture.
bool rebate_seen(const FrameOutline& frame);

}  // namespace basefog::area
