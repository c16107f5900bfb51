// SPDX-License-Identifier: GPL-3.0-or-later
#pragma once

#include <vector>

#include "film/film_tones.hpp"
#include "film/frame_outline.hpp"

namespace basefog {

/// Frames one after another along x, in the tones of one piece of film.
struct StripFrames {
  std::vector<FrameOutline> frames;  ///< from left to right
  /// How surely the frames are several: mean evidence, 0 to 2, of the two edges at each gap.
  double gap_evidence = 0;
};

/// Finds the frames of a strip that runs along x within 4.5 degrees. All frames of a strip have one
/// format and nearly one pitch, which places a frame whose edges cannot be seen between two that
/// can. Empty where the picture's long edges cannot be seen.
StripFrames find_strip_frames(const FilmTones& tones);

}  // namespace basefog
