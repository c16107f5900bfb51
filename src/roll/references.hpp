// SPDX-License-Identifier: GPL-3.0-or-later
#pragma once

#include <vector>

#include "basefog/analysis.hpp"

namespace basefog {

/// Gives every measured frame the best density zero there is: its own rebate, else the roll's
/// clearest film where the scanner's exposure is seen to be locked and the frame shows nothing
/// clearer. Frames for which there is none become FrameState::no_reference.
void give_references(std::vector<FrameResult>& frames);

}  // namespace basefog
