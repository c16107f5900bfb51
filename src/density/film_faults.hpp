// SPDX-License-Identifier: GPL-3.0-or-later
#pragma once

#include <vector>

#include "basefog/area/film_area.hpp"
#include "basefog/density/film_base.hpp"

namespace basefog::density {

/// Faults of each frame that show beside the frames: light that struck the film's edge, frames that
/// run into each other. One set a frame.
std::vector<FlagSet> find_faults(const scan::Scan& scan, const area::FilmLayout& layout,
                                 const FilmBase& base);

/// Whether scanning software stretched the levels: in every channel about as many pixels at black
/// as at white, some but few, as no film gives of itself.
bool levels_stretched(const decode::BlockImage& blocks);

}  // namespace basefog::density
