// SPDX-License-Identifier: GPL-3.0-or-later
#pragma once

#include <vector>

#include "area/film_tones.hpp"

namespace basefog::area {

/// Where picture lies on film, a sixth of a frame of it at least, and no frame was found; in scan
/// pixels, as frames are given. Beside it must lie clear film, for a ruler is none; beside mounts,
/// light. What lies on one strip with nothing but film between is one. cell_side: pixels.
std::vector<FrameRegion> find_frameless_film(const FilmTones& tones,
                                             const std::vector<FrameRegion>& frames,
                                             double cell_side);

}  // namespace basefog::area
