// SPDX-License-Identifier: GPL-3.0-or-later
#pragma once

#include <string>

#include "basefog/meter/bias_history.hpp"
#include "basefog/roll/analysis.hpp"

namespace basefog::roll {

/// What to keep of an analysis. name: empty for the log's own name of the roll, else that of the
/// folder of its scans. Throws InputError (usage) where the roll says nothing of the meter: no log,
/// fewer than three frames with a reading and a row.
meter::RememberedRoll remembered_roll(const Analysis& analysis, const std::string& name = "");

}  // namespace basefog::roll
