// SPDX-License-Identifier: GPL-3.0-or-later
#pragma once

#include <vector>

#include "basefog/analysis.hpp"

namespace basefog {

/// Fills expected, deviation, technique and scene_ev of every measured frame that has a row.
void compare_with_log(Analysis& analysis);

/// What the bias may be learned from: frames with a two-sided exposure and a row that is surely
/// theirs.
std::vector<DeviationSample> deviation_samples(const Analysis& analysis);

}  // namespace basefog
