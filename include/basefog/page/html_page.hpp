// SPDX-License-Identifier: GPL-3.0-or-later
#pragma once

#include <ostream>

#include "basefog/roll/analysis.hpp"

namespace basefog::page {

/// One self-contained page: nothing is loaded from anywhere, and it reads without its script.
void write_html(std::ostream& out, const roll::Analysis& analysis);

}  // namespace basefog::page
