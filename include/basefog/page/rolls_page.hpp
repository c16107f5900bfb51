// SPDX-License-Identifier: GPL-3.0-or-later
#pragma once

#include <ostream>
#include <span>

#include "basefog/page/html_page.hpp"
#include "basefog/report/roll_summary.hpp"

namespace basefog::page {

/// A roll among many.
struct RollEntry {
  report::RollSummary summary;  ///< its line
  PictureStrip strip;           ///< its source is empty where there is none
};

/// The index page, with a picture strip of each roll and links to their reports, which lead back;
/// it sorts where its script runs. Nothing is loaded from anywhere.
void write_rolls_html(std::ostream& out, std::span<const RollEntry> rolls);

}  // namespace basefog::page
