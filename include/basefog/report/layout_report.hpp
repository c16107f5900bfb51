// SPDX-License-Identifier: GPL-3.0-or-later
#pragma once

#include <ostream>
#include <vector>

#include "basefog/area/film_area.hpp"
#include "basefog/density/density.hpp"
#include "basefog/scan/scan.hpp"

namespace basefog::report {

/// What was found of the film area on one scan, as text: frames with their places, clear film,
/// flags with their next steps.
void write_layout(std::ostream& out, const scan::Scan& scan, const area::FilmLayout& layout,
                  const std::vector<density::FrameMeasurement>& frames);

}  // namespace basefog::report
