// SPDX-License-Identifier: GPL-3.0-or-later
#pragma once

#include <optional>
#include <span>
#include <vector>

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

/// Net density through the film's curve to exposure, and the four answers, frame by frame, metered
/// as metering_of says.
FrameReadings read_frames(std::span<const ReferencedFrame> frames, const RollFilm& film,
                          const ReviewOptions& options);

/// The readings with what is known once frames have rows: all anew where series made the film
/// another, else those of frames whose row names how they were metered.
FrameReadings read_again(FrameReadings first, std::span<const ReferencedFrame> frames,
                         const RollFilm& film, const ReviewOptions& options,
                         const MatchedLog& rows);

}  // namespace basefog::roll
