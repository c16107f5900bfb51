// SPDX-License-Identifier: GPL-3.0-or-later
#pragma once

#include "basefog/area/film_area.hpp"

namespace basefog::area {

/// Light below which density is of no more interest: density 5.
inline constexpr double kLeastLight = 1e-5;

/// Density of light that was read at a place in pixels: without stray light, as under the light of
/// the scan's centre.
double even_density(const FilmLayout& layout, double light, int channel, double x, double y);

}  // namespace basefog::area
