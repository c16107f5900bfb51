// SPDX-License-Identifier: GPL-3.0-or-later
#pragma once

#include <vector>

#include "basefog/roll/analysis.hpp"

namespace basefog::roll {

/// The rebate of each scan, once: frames of one scan share theirs, so that those after the first
/// have none here. One a frame.
std::vector<density::FilmBase> rebates_of(const std::vector<FrameResult>& frames);

/// Gives every measured frame the best density zero there is: what a person states, its own rebate,
/// the scan of clear film, or the roll's clearest film where the scanner's exposure is seen to be
/// locked; one that is not its own only where the frame shows nothing clearer. Frames for which
/// there is none become FrameState::no_reference, those that show nothing above it blank. Throws
/// InputError for a scan of clear film that is none.
void give_references(std::vector<FrameResult>& frames, const ReviewOptions& options);

}  // namespace basefog::roll
