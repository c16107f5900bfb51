// SPDX-License-Identifier: GPL-3.0-or-later
#pragma once

#include <optional>
#include <span>
#include <vector>

#include "basefog/roll/analysis.hpp"
#include "roll/camera_findings.hpp"
#include "roll/matched_log.hpp"

namespace basefog::roll {

/// How to expose the next roll, and what to do besides.
struct WhatNext {
  std::optional<plan::NextRoll> next_roll;  ///< wherever the meter has a bias
  std::vector<Advice> advice;
};

/// The plan as far as the log can be learned from, and advice; where a question or the scans hold
/// everything up, the plan changes nothing and only that is advised. frames: of the roll.
WhatNext decide_what_next(std::span<const FrameResult> frames, const CameraFindings& camera,
                          const MatchedLog& rows, std::span<const Question> questions,
                          const film::FilmProfile& film, const std::optional<log::Camera>& set);

}  // namespace basefog::roll
