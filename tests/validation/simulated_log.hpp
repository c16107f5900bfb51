// SPDX-License-Identifier: GPL-3.0-or-later
// A roll of 36 as a photographer shoots, logs and scans it, in numbers only. Shares nothing with
// the matching that is tried on it.
#pragma once

#include <map>
#include <optional>
#include <random>
#include <span>
#include <vector>

#include "basefog/matching/matching.hpp"

namespace study {

/// Numbers of the log: none, read off the camera's counter, or counted when it was typed in, so
/// that a forgotten row leaves no gap.
enum class RowNumbers { none, counter, counted_later };
/// Numbers of the files: none, the frame's on the film, or counted as the scans were made, so that
/// a frame left out leaves no gap.
enum class FileNumbers { none, by_frame, by_scan };

/// What came of the film: most of it, blanks before it, a third of the rolls backwards, some rows
/// and scans missing; all of it, on a sheet in order, with all rows; one to eight frames of it,
/// with all rows.
enum class Scanned { with_losses, sheet, keepers };

/// What is met on a walk: the words a log would use and the light, EV at ISO 100.
struct Subject {
  const char* words;
  double lowest_ev;
  double highest_ev;
};
/// Subjects by the places that they are met in.
std::span<const std::vector<Subject>> places();

enum class WayOfMetering { aperture_priority, match_needle, no_meter };

/// What nobody can read off scans and log, kept for the study of what can be known at best.
struct HiddenTruth {
  WayOfMetering way{};
  double bias = 0;                                     ///< of the meter, stops
  std::map<basefog::ShutterTime, double> speed_error;  ///< stops by marked time
  std::vector<int> scene;                              ///< each frame's; -1 for blanks
  std::vector<std::size_t> place;                      ///< each frame's, as in places()
};

struct SimulatedRoll {
  std::vector<basefog::matching::MatchFrame> frames;  ///< in the order scanned
  basefog::log::ShotLog log;
  std::vector<std::optional<std::size_t>> truth;  ///< each frame's row
  bool scanned_backwards = false;
  HiddenTruth hidden;
};

SimulatedRoll simulate_roll(RowNumbers row_numbers, FileNumbers file_numbers, Scanned scanned,
                            std::mt19937& random);

}  // namespace study
