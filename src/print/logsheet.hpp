// SPDX-License-Identifier: GPL-3.0-or-later
#pragma once

#include "basefog/print/logsheet.hpp"

// What the log to fill in and the log to print share.
namespace basefog::print {

/// Throws InputError (usage) where the options do not validate or the log has no such page.
void check(const LogsheetOptions& options, int page = 1);

/// As marked; empty where nothing is known.
std::string speed_text(const std::optional<FilmSpeed>& speed);

}  // namespace basefog::print
