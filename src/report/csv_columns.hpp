// SPDX-License-Identifier: GPL-3.0-or-later
#pragma once

#include <span>
#include <string>
#include <string_view>
#include <vector>

namespace basefog::report {

/// A column of a table, or the three of an estimate: its value and both ends of its interval.
struct CsvColumn {
  std::string_view name;
  std::string_view unit;  ///< may be empty
  std::string_view meaning;
  bool estimate = false;
};

/// The columns of frames.csv and of rolls.csv in order; their heads and the manual are made of
/// them.
std::span<const CsvColumn> frames_columns();
std::span<const CsvColumn> rolls_columns();

/// The one head of a column, or the three of an estimate: "exposure (stops)", "exposure low
/// (stops)", "exposure high (stops)".
std::vector<std::string> heads_of(const CsvColumn& column);

}  // namespace basefog::report
