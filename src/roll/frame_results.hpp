// SPDX-License-Identifier: GPL-3.0-or-later
#pragma once

#include <span>
#include <vector>

#include "roll/log_comparison.hpp"
#include "roll/roll_doubts.hpp"

namespace basefog::roll {

/// What the steps of a review found, as far as it concerns single frames.
struct FrameParts {
  std::vector<ReferencedFrame> frames;
  const FrameReadings& readings;                ///< one a frame
  const MatchedLog& rows;                       ///< of all frames
  std::span<const LoggedFrame> logged;          ///< frames with a reading and a row
  std::vector<log::Replacements> replacements;  ///< one for each of `logged`
  std::span<const RollDoubt> doubts;
};

/// Each frame's part of every step, in the order of the frames.
std::vector<FrameResult> frame_results(FrameParts parts);

}  // namespace basefog::roll
