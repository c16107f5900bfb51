// SPDX-License-Identifier: GPL-3.0-or-later
#pragma once

#include <vector>

#include "area/film_tones.hpp"
#include "area/frame_outline.hpp"
#include "area/strip_chain.hpp"

namespace basefog::area {

/// Frames one after another along x, in the tones of one piece of film.
struct StripFrames {
  std::vector<FrameOutline> frames;  ///< from left to right
  /// How surely the frames are several: mean evidence, 0 to 2, of the two edges at each gap.
  double gap_evidence = 0;
  double merit = 0;  ///< how well the row explains what is seen, in edges seen whole
  double seat = 0;   ///< how surely its pictures lie as cameras put them on film of this width
};

/// Finds the frames of the strips on one piece of film, which run along x within 6.6 degrees;
/// strips that touch are separated, from the top down. All frames of a strip have one format and
/// nearly one pitch, which places a frame whose edges cannot be seen between two that can. None
/// where the pictures' long edges cannot be seen, unless the wish says how many frames there are.
std::vector<StripFrames> find_strips(const FilmTones& tones, const StripWish& wish = {});

}  // namespace basefog::area
