// SPDX-License-Identifier: GPL-3.0-or-later
#include <algorithm>

#include "basefog/core/error.hpp"
#include "basefog/core/limits.hpp"
#include "basefog/matching/matching.hpp"
#include "core/plain_text.hpp"
#include "core/text_file.hpp"
#include "log/table.hpp"

namespace basefog::matching {
namespace {

std::optional<std::size_t> column_named(const log::LogLine& head, std::string_view name) {
  const auto at = std::ranges::find_if(
      head.cells, [&](const std::string& cell) { return plain_form(cell) == name; });
  if (at == head.cells.end()) return std::nullopt;
  return static_cast<std::size_t>(at - head.cells.begin());
}

/// Without the apostrophe that keeps a spreadsheet from taking a text for a formula, and a reader
/// from taking it for a comment.
std::string unguarded(const std::string& cell) {
  const bool guarded = cell.size() > 1 && cell.front() == '\'' &&
                       std::string_view("=+-@#").find(cell[1]) != std::string_view::npos;
  return guarded ? cell.substr(1) : cell;
}

/// Whether a person marked the line.
bool says_yes(const std::string& cell) {
  const std::string plain = plain_form(cell);
  return !plain.empty() && plain != "no" && plain != "0" && plain != "-";
}

}  // namespace

std::string row_name(const log::ShotLog& log, std::size_t row) {
  const log::LogRow& named = log.rows[row];
  const auto same = std::ranges::count(log.rows, named.frame, &log::LogRow::frame);
  return same == 1 && !named.frame.empty() ? named.frame : "line " + std::to_string(named.line);
}

std::vector<WrittenPair> read_match_file(const std::filesystem::path& path) {
  const std::string text =
      log::decode_text(read_text_file(path, {"a match file", limits::kMostLogBytes}), path).text;
  for (const char separator : {',', ';', '\t'}) {
    std::vector<log::LogLine> lines = log::split_lines(text, separator);
    std::erase_if(lines, [](const log::LogLine& line) {
      return line.empty() || line.cells.front().starts_with('#');
    });
    if (lines.empty()) break;
    const auto file = column_named(lines.front(), "file");
    const auto row = column_named(lines.front(), "frame");
    const auto fixed = column_named(lines.front(), "fixed");
    if (!file || !row) continue;
    std::vector<WrittenPair> pairs;
    for (auto line = lines.begin() + 1; line != lines.end(); ++line) {
      const auto cell = [&](std::size_t k) {
        return k < line->cells.size() ? unguarded(line->cells[k]) : std::string();
      };
      if (cell(*file).empty()) {
        throw InputError(ErrorCode::malformed, path,
                         "names no file in line " + std::to_string(line->number),
                         "write the scan's name there, or delete the line");
      }
      pairs.push_back({cell(*file), cell(*row), line->number, !fixed || says_yes(cell(*fixed))});
    }
    return pairs;
  }
  throw InputError(ErrorCode::malformed, path, "has no columns named file and frame",
                   "begin it with the line: file,frame");
}

}  // namespace basefog::matching
