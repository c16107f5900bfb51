// SPDX-License-Identifier: GPL-3.0-or-later
#pragma once

#include "roll/log_comparison.hpp"

namespace basefog::roll {

/// What is known of a roll before its frames are held against the log.
struct LoggedRoll {
  film::FilmProfile film;
  std::vector<ReferencedFrame> frames;
  FrameReadings readings;
  MatchedLog rows{.log = log::ShotLog{}, .matching = matching::Matching{}};

  /// One more frame, measured and read as `exposure`, with a row of its own.
  void add(const StopsEstimate& exposure, const log::LogRow& row) {
    frames.push_back({.state = density::FrameState::measured});
    readings.emplace_back().emplace().exposure.estimate = from_stops<ExposureFromAim>(exposure);
    rows.matching->frames.push_back({.row = rows.log->rows.size()});
    rows.log->rows.push_back(row);
  }

  std::vector<LoggedFrame> compared() const {
    return compare_with_log(frames, readings, rows, film);
  }
};

}  // namespace basefog::roll
