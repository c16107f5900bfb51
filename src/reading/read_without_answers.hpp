// SPDX-License-Identifier: GPL-3.0-or-later
#pragma once

#include "basefog/reading/frame_reading.hpp"

namespace basefog::reading {

/// What a frame shows through the film as given: shares lost, histogram and flags. Its answers,
/// verdict and layers are left as they are made. The frame must hold apertures and base be of a
/// kind other than none (std::invalid_argument).
FrameReading read_without_answers(const density::FrameMeasurement& frame,
                                  const density::FilmBase& base, const film::FilmProfile& film,
                                  const Aim& aim, const ReadingOptions& options);

}  // namespace basefog::reading
