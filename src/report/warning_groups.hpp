// SPDX-License-Identifier: GPL-3.0-or-later
#pragma once

#include <string>
#include <vector>

#include "basefog/roll/analysis.hpp"

namespace basefog::report {

/// Warnings that say the same of several frames, taken together, in the order of the first.
struct WarningGroup {
  Flag flag;
  std::string text;
  std::string next_step;
  /// Names of the frames, or of a scan none of whose frames it can be laid to; empty for the log
  /// and for the whole roll.
  std::vector<std::string> frames;
  std::string file;  ///< the file's name where it is but one
};
std::vector<WarningGroup> grouped_warnings(const roll::Analysis& analysis);

/// "The roll", "The log (roll07.csv)", "Frame 8 (roll07_08.tif)", "Frames 1, 2 and 5", "13 frames".
std::string place_text(const WarningGroup& group);

}  // namespace basefog::report
