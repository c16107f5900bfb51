// SPDX-License-Identifier: GPL-3.0-or-later
// A roll of 36 as a photographer shoots, logs and scans it, in numbers only. Shares nothing with
// the matching that is tried on it.
#pragma once

#include <optional>
#include <random>
#include <vector>

#include "basefog/matching.hpp"

namespace study {

/// Numbers of the log: none, read off the camera's counter, or counted when it was typed in, so
/// that a forgotten row leaves no gap.
enum class RowNumbers { none, counter, counted_later };
/// Numbers of the files: none, the frame's on the film, or counted as the scans were made, so that
/// a frame left out leaves no gap.
enum class FileNumbers { none, by_frame, by_scan };

struct SimulatedRoll {
  std::vector<basefog::MatchFrame> frames;  ///< in the order scanned
  basefog::ShotLog log;
  std::vector<std::optional<std::size_t>> truth;  ///< each frame's row
  bool scanned_backwards = false;
};

SimulatedRoll simulate_roll(RowNumbers row_numbers, FileNumbers file_numbers, std::mt19937& random);

}  // namespace study
