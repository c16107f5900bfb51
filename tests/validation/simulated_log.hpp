// SPDX-License-Identifier: GPL-3.0-or-later
// A roll of 36 as a photographer shoots, logs and scans it, in numbers only. Shares nothing with
// the matching that is tried on it.
#pragma once

#include <optional>
#include <random>
#include <vector>

#include "basefog/matching.hpp"

namespace study {

enum class Labels { none, rows_only, rows_and_files };

struct SimulatedRoll {
  std::vector<basefog::MatchFrame> frames;  ///< in the order scanned
  basefog::ShotLog log;
  std::vector<std::optional<std::size_t>> truth;  ///< each frame's row
  bool scanned_backwards = false;
};

/// Numbers of the log: read off the camera's counter, or counted when it was typed in, so that a
/// forgotten row leaves no gap.
enum class RowNumbers { counter, counted_later };

SimulatedRoll simulate_roll(Labels labels, RowNumbers row_numbers, std::mt19937& random);

}  // namespace study
