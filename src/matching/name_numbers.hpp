// SPDX-License-Identifier: GPL-3.0-or-later
// The frame's number in a scan's name, seen among the names of the whole roll.
#pragma once

#include <span>
#include <string>
#include <vector>

namespace basefog::matching {

/// A scan of one frame.
struct NamedScan {
  std::string stem;   ///< its file's name without extension
  std::string label;  ///< the frame's, as far as this name alone says it; may be empty
};

/// The frames' labels: of the numbers in names that are alike but for their numbers, the one that
/// takes most values, the last of those that do. "roll_01", "roll_02" -> "1", "2"; "roll12_07a",
/// "roll12_08" -> "7A", "8"; "2024-05-12 img1234" beside others of that day -> "1234". A name that
/// no other is like keeps the label that it has alone. scans: of one roll, in any order.
std::vector<std::string> labels_in_names(std::span<const NamedScan> scans);

}  // namespace basefog::matching
