// SPDX-License-Identifier: GPL-3.0-or-later
#pragma once

#include <vector>

#include "basefog/roll/analysis.hpp"

namespace basefog::roll {

/// A frame and its density zero.
struct ReferencedFrame {
  density::FrameMeasurement measurement;
  /// Measured only where there is a zero and something above it.
  density::FrameState state = density::FrameState::unreadable;
  density::FilmBase base;  ///< kind none where there is none
  FlagSet flags;           ///< of the measurement and of the zero
};

/// Gives every measured frame the best density zero there is: what a person states, its own rebate,
/// the scan of clear film, or the roll's clearest film where the scanner's exposure is seen to be
/// locked; one that is not its own only where the frame shows nothing clearer. Frames for which
/// there is none become FrameState::no_reference, those that show nothing above it blank. Throws
/// InputError for a scan of clear film that is none.
std::vector<ReferencedFrame> reference_frames(std::vector<density::FrameMeasurement> frames,
                                              const ReviewOptions& options);

/// The rebate of a frame's scan, once: frames of one scan share theirs, so that those after the
/// first have none here.
density::FilmBase rebate_of_scan(const density::FrameMeasurement& frame);

}  // namespace basefog::roll
