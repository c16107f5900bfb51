// SPDX-License-Identifier: GPL-3.0-or-later
// Which row of the log each frame of a roll belongs to.
#pragma once

#include <filesystem>
#include <optional>
#include <span>
#include <vector>

#include "basefog/roll/analysis.hpp"
#include "roll/frame_readings.hpp"
#include "roll/matched_log.hpp"
#include "roll/references.hpp"

namespace basefog::roll {

/// Pairs of scans and rows that the user fixed.
struct FixedPairs {
  std::filesystem::path file;
  std::vector<matching::FixedPair> pairs;
};

/// What the photographer wrote.
struct Written {
  std::optional<log::ShotLog> log;
  std::optional<FixedPairs> fixed;
};

/// Reads the log, holds it against the camera's marks, and reads the match file. Throws InputError
/// for a file that cannot be read.
Written read_written(const ReviewOptions& options);

/// What was written, with a log made of the settings that the scans themselves carry where there is
/// no other; its path is empty. As given where no scan carries any.
Written or_from_scans(Written written, std::span<const density::FrameMeasurement> frames);

/// Finds each frame its row. A frame that no row belongs to gets one from the settings in its own
/// scan, if there are any. Without a log nothing is matched. Throws InputError for a fixed pair
/// that names no frame or row of the roll, with its line, and for pairs without a log.
MatchedLog match_rows(std::span<const ReferencedFrame> frames, const FrameReadings& readings,
                      const film::FilmProfile& film, const Written& written);

}  // namespace basefog::roll
