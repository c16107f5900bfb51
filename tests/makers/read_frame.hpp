// SPDX-License-Identifier: GPL-3.0-or-later
#pragma once

#include "basefog/ensemble/roll_reading.hpp"

namespace basefog::ensemble {

/// A roll of one frame, without a log.
inline reading::FrameReading read_frame(const density::FrameMeasurement& frame,
                                        const density::FilmBase& base,
                                        const film::FilmProfile& film, const Aim& aim,
                                        const reading::ReadingOptions& options = {}) {
  const FrameToRead to_read{.measurement = &frame, .base = &base, .options = options};
  return read_roll({&to_read, 1}, film, aim).frames.at(0);
}

}  // namespace basefog::ensemble
