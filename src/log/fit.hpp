// SPDX-License-Identifier: GPL-3.0-or-later
// Lines that have more cells than the table has columns.
#pragma once

#include <string>
#include <vector>

#include "basefog/log/remark.hpp"
#include "log/header.hpp"

namespace basefog::log {

/// The cells of a line, one a column, and what had to be guessed.
struct FittedCells {
  std::vector<std::string> cells;
  Doubts doubts;  ///< none when the line had no cell too many
};

/// Brings a line to the table's columns. A line that is short gets empty cells. In a line that is
/// long, decimal commas that were not quoted are put together again: "5,6" under an aperture, "0,5"
/// under a time, "-0,7" under a compensation, where no more of them are found than there are cells
/// too many. What is still too much is read as commas among the words of the last column, if it
/// holds words. Nothing of that is silent but commas among words where no number may be cut.
FittedCells fit_to_columns(std::vector<std::string> cells, const std::vector<Column>& columns,
                           char separator);

}  // namespace basefog::log
