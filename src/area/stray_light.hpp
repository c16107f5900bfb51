// SPDX-License-Identifier: GPL-3.0-or-later
#pragma once

#include "basefog/area/film_area.hpp"

namespace basefog::area {

/// Measures stray light where it shows: on the holder's mask, which lets nothing through, else on
/// clear film, which is lighter the nearer bare light is. layout: with kinds and frames.
StrayLight find_stray_light(const scan::Scan& scan, const FilmLayout& layout);

}  // namespace basefog::area
