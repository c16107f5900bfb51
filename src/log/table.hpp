// SPDX-License-Identifier: GPL-3.0-or-later
// A log's bytes as a table of cells.
#pragma once

#include <filesystem>
#include <string>
#include <string_view>
#include <vector>

namespace basefog::log {

/// A text in UTF-8 and the encoding it came in: "UTF-8", "UTF-16" or "Windows-1252".
struct DecodedText {
  std::string text;
  std::string encoding;
};

/// Bytes to UTF-8: by byte-order mark; UTF-16 without one where every other byte is zero; UTF-8
/// where the bytes are valid UTF-8; otherwise Windows-1252, of which Latin-1's letters are part.
/// Throws InputError: unsupported for what is no text (a spreadsheet's own file, a picture),
/// unreadable for more than 4 MiB.
DecodedText decode_text(std::string_view bytes, const std::filesystem::path& path);

/// One line of a log, or several where a quoted cell goes on over line ends.
struct LogLine {
  int number = 0;                  ///< of its first line in the file, from 1
  std::vector<std::string> cells;  ///< without quotes, without spaces at the ends

  bool empty() const;
};

/// Cuts a text into cells. A cell in double quotes may hold separators, line ends and doubled
/// quotes. A quote that does not open a properly closed cell is text: 1" is one second and a lone "
/// is a ditto mark.
std::vector<LogLine> split_lines(std::string_view text, char separator);

}  // namespace basefog::log
