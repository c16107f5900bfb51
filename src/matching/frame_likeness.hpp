// SPDX-License-Identifier: GPL-3.0-or-later
#pragma once

#include "basefog/density/density.hpp"
#include "basefog/matching/matching.hpp"

namespace basefog::matching {

/// A frame's apertures averaged over the sketch's cells, all channels alike. Empty where the frame
/// has fewer apertures than cells.
PictureSketch sketch_of(const density::ApertureGrid& grid);

}  // namespace basefog::matching
