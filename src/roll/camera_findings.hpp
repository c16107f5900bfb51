// SPDX-License-Identifier: GPL-3.0-or-later
#pragma once

#include <optional>
#include <span>
#include <vector>

#include "roll/log_comparison.hpp"

namespace basefog::roll {

/// What the camera did over a roll, and the person behind it.
struct CameraFindings {
  /// The exposure index that the middle of the matched rows was shot at.
  std::optional<FilmSpeed> dialled;
  std::optional<meter::MeterBias> meter;                  ///< absent without a log
  std::vector<meter::SceneTechnique> techniques;          ///< by scene word
  std::vector<meter::DeviationSample> deviations;         ///< from which `meter` was learned
  std::vector<meter::TechniqueSample> technique_samples;  ///< from which `techniques` were
};

/// Learns bias and technique from the frames that say something of them; nothing from another
/// roll's log. Bias: frames whose exposure has a lower end and that have a row; where it is
/// doubtful which, the sum over those that it may be, with what they differ by as the frame's own
/// error. Technique: frames with a technique, a scene word and a row that is surely theirs; those
/// known from one side only with a sigma of a stop and more. rows: of all frames.
CameraFindings judge_camera(std::span<const LoggedFrame> frames, const MatchedLog& rows,
                            const film::FilmProfile& film);

}  // namespace basefog::roll
