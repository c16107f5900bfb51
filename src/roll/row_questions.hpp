// SPDX-License-Identifier: GPL-3.0-or-later
// The one question on rows that settles most.
#pragma once

#include <span>
#include <vector>

#include "basefog/roll/question.hpp"
#include "roll/frame_readings.hpp"
#include "roll/frame_rows.hpp"

namespace basefog::roll {

/// At most one question: whether the log is of this roll, where its rows speak against it; else of
/// the doubtful frame whose row is most open, with what follows from each of its possible rows.
/// Each answer matches the roll again with that frame's row fixed.
std::vector<Question> ask_for_rows(std::span<const ReferencedFrame> frames,
                                   const FrameReadings& readings, const film::FilmProfile& film,
                                   const Written& written, const MatchedLog& rows);

}  // namespace basefog::roll
