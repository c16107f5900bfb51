// SPDX-License-Identifier: GPL-3.0-or-later
#pragma once

#include <ostream>

#include "basefog/area/film_area.hpp"
#include "basefog/scan/scan.hpp"

namespace basefog::print {

/// The scan as a PNG, long side about 1600, with what was found drawn over it: frames with their
/// numbers, clear film, bare light and mask tinted, and a legend in words. The same bytes on every
/// run. Throws std::runtime_error where the encoder refuses.
void write_layout_picture(std::ostream& out, const scan::Scan& scan,
                          const area::FilmLayout& layout);

}  // namespace basefog::print
