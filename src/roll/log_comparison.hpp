// SPDX-License-Identifier: GPL-3.0-or-later
#pragma once

#include <vector>

#include "basefog/roll/analysis.hpp"

namespace basefog::roll {

/// Fills expected, deviation, technique and scene_ev of every measured frame that has a row.
void compare_with_log(Analysis& analysis);

/// What the bias may be learned from: frames whose exposure has a lower end and a row that is
/// surely theirs.
std::vector<meter::DeviationSample> deviation_samples(const Analysis& analysis);

/// What technique may be learned from: frames with a technique, a scene word and a row that is
/// surely theirs; those known from one side only with a sigma of a stop and more.
std::vector<meter::TechniqueSample> technique_samples(const Analysis& analysis);

}  // namespace basefog::roll
