// SPDX-License-Identifier: GPL-3.0-or-later
#pragma once

#include <ostream>
#include <span>
#include <string>
#include <vector>

#include "basefog/area/film_area.hpp"
#include "basefog/density/density.hpp"
#include "basefog/scan/scan.hpp"

namespace basefog::report {

/// What was found of the film area on one scan, as text: frames with their places, clear film,
/// flags with their next steps.
void write_layout(std::ostream& out, const scan::Scan& scan, const area::FilmLayout& layout,
                  const std::vector<density::FrameMeasurement>& frames);

/// The same of one scan for machines, as one object; a scan need not be kept until all are read.
std::string layout_json(const scan::Scan& scan, const area::FilmLayout& layout,
                        const std::vector<density::FrameMeasurement>& frames);

/// What layout_json gave of all scans: schema "basefog.read/1".
void write_layouts_json(std::ostream& out, std::span<const std::string> scans);

}  // namespace basefog::report
