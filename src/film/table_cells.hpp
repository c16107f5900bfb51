// SPDX-License-Identifier: GPL-3.0-or-later
#pragma once

#include <filesystem>
#include <optional>
#include <string>
#include <string_view>
#include <vector>

#include "core/text_file.hpp"

namespace basefog::film {

/// A line of a table as it stands in its file.
struct TableLine {
  int number = 0;  ///< from 1
  std::string text;
};

/// The lines of a file that say something: without a byte order mark, empty lines, and lines that
/// begin with #. Throws InputError (not_found, unreadable).
std::vector<TableLine> table_lines(const std::filesystem::path& path, const TextFileKind& kind);

/// What stands between a line's semicolons, or its tabs, or else its commas, without the blanks and
/// quotes around it.
std::vector<std::string> table_cells(std::string_view line);

/// A finite number with a decimal point, or with a comma where cells are separated otherwise.
std::optional<double> number_in_cell(std::string cell);

}  // namespace basefog::film
