// SPDX-License-Identifier: GPL-3.0-or-later
// Which row of the log each frame of a roll belongs to.
#pragma once

#include <filesystem>
#include <optional>
#include <span>
#include <vector>

#include "basefog/roll/analysis.hpp"
#include "basefog/roll/question.hpp"
#include "roll/frame_readings.hpp"
#include "roll/matched_log.hpp"
#include "roll/references.hpp"

namespace basefog::roll {

/// Pairs of scans and rows in a match file, those that a person fixed and those that were found.
struct WrittenPairs {
  std::filesystem::path file;
  std::vector<matching::WrittenPair> pairs;
};

/// What the photographer wrote.
struct Written {
  std::optional<log::ShotLog> log;
  std::optional<density::ScanFailure> failure;  ///< why there is no log though one was given
  std::optional<WrittenPairs> pairs;
};

/// Reads the log, holds it against the camera's marks, and reads the match file. A log that cannot
/// be understood is a failure to tell of. Throws InputError for one that is not there, and for a
/// match file that cannot be read.
Written read_written(const ReviewOptions& options);

/// What was written, with a log made of the settings that the scans themselves carry where there is
/// no other; its path is empty. As given where no scan carries any.
Written or_from_scans(Written written, std::span<const density::FrameMeasurement> frames);

/// Finds each frame its row. A frame that no row belongs to gets one from the settings in its own
/// scan, if there are any. Without a log nothing is matched. Throws InputError for a fixed pair
/// that names no frame or row of the roll, with its line, and for pairs without a log. supposed: a
/// row that is fixed beside those, to see what would follow.
MatchedLog match_rows(std::span<const ReferencedFrame> frames, const FrameReadings& readings,
                      const film::FilmProfile& film, const Written& written,
                      const std::optional<FrameHasRow>& supposed = std::nullopt);

/// The same rows; exposure series found by them speak for their log.
MatchedLog vouched_by_series(MatchedLog rows, const RollFilm& film);

}  // namespace basefog::roll
