// SPDX-License-Identifier: GPL-3.0-or-later
#pragma once

#include <ostream>
#include <span>

#include "basefog/report/roll_summary.hpp"

namespace basefog::page {

/// The index page, with links to the rolls' reports; nothing is loaded from anywhere.
void write_rolls_html(std::ostream& out, std::span<const report::RollSummary> rolls);

}  // namespace basefog::page
