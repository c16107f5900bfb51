// SPDX-License-Identifier: GPL-3.0-or-later
#pragma once

#include <optional>
#include <span>
#include <vector>

#include "basefog/ensemble/roll_reading.hpp"
#include "basefog/roll/analysis.hpp"
#include "basefog/roll/roll_film.hpp"
#include "roll/matched_log.hpp"
#include "roll/references.hpp"

namespace basefog::roll {

/// One a frame; absent where the frame's state is other than measured.
using FrameReadings = std::vector<std::optional<reading::FrameReading>>;

/// The exposure that a metered mid-tone gets on the film, by the constants in the options.
Aim aim_of(const film::FilmProfile& film, const ReviewOptions& options);

/// How the camera's meter weighs the frame: what the options say, else the camera file.
MeteringPattern metering_of(const ReviewOptions& options);

/// The readings of a roll, and what they say of its film.
struct RollReadings {
  FrameReadings frames;
  Estimate<double> contrast;              ///< against the film that they were read through
  film::FilmEvidence evidence;            ///< what they say of it
  std::vector<ensemble::KeptFrame> kept;  ///< one a frame, empty where it was not read
};

/// Net density through the film's curve to exposure, and the four answers, all frames together,
/// with what their rows say of them: how they were metered, and what was asked for. Without rows
/// they are metered as metering_of says.
RollReadings read_frames(std::span<const ReferencedFrame> frames, const film::FilmProfile& film,
                         const ReviewOptions& options, const MatchedLog& rows = {});

}  // namespace basefog::roll
