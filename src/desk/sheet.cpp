// SPDX-License-Identifier: GPL-3.0-or-later
#include "desk/sheet.hpp"

#include <algorithm>
#include <set>

#include "basefog/core/error.hpp"
#include "basefog/log/log.hpp"
#include "core/plain_text.hpp"
#include "log/table.hpp"

namespace basefog::desk {
namespace {

/// More than any roll's; a sheet of all of it stays below a request's most bytes.
constexpr std::size_t kMostRows = 1000;
constexpr std::size_t kMostColumns = 40;
constexpr std::size_t kMostFacts = 40;
constexpr std::size_t kMostBytesInCell = 4000;

/// On one line, since a row is a line.
std::string one_line(std::string text) {
  for (char& c : text) {
    if (static_cast<unsigned char>(c) < 0x20 || c == 0x7f) c = ' ';
  }
  return std::string(trimmed(text.substr(0, kMostBytesInCell)));
}

/// A cell that log::split_lines gives back as it was. A quote within a cell, or alone in it as a
/// ditto mark, is text.
std::string field(const std::string& cell, char separator) {
  const bool quote_first = cell.starts_with('"') && cell.size() > 1;
  if (!quote_first && cell.find(separator) == std::string::npos) return cell;
  std::string quoted = "\"";
  for (const char c : cell) quoted += c == '"' ? std::string("\"\"") : std::string(1, c);
  return quoted + "\"";
}

/// A comma, but where a cell begins with one: a quote before a separator is read as a ditto mark.
/// No cell holds a tab.
char separator_for(const Sheet& sheet) {
  for (const char separator : {',', ';'}) {
    const auto begins_so = [separator](const std::string& cell) {
      return cell.starts_with(separator);
    };
    const bool any = std::ranges::any_of(sheet.columns, begins_so) ||
                     std::ranges::any_of(sheet.rows, [&](const SheetRow& row) {
                       return std::ranges::any_of(row.cells, begins_so);
                     });
    if (!any) return separator;
  }
  return '\t';
}

bool is_empty(const SheetRow& row) {
  return std::ranges::all_of(row.cells, [](const std::string& cell) { return cell.empty(); });
}

Fact fact_of(const log::LogLine& line) {
  std::string text;
  for (const std::string& cell : line.cells) {
    if (!cell.empty()) text += (text.empty() ? "" : ", ") + cell;
  }
  const std::size_t colon = text.find(':');
  if (colon == std::string::npos) return {.name = "", .text = text};
  return {.name = std::string(trimmed(std::string_view(text).substr(0, colon))),
          .text = std::string(trimmed(std::string_view(text).substr(colon + 1)))};
}

std::vector<std::string> heads_of(const log::ShotLog& log) {
  std::vector<std::string> heads;
  for (const log::LogColumn& column : log.columns) {
    heads.push_back(column.header.empty() ? column.meaning : column.header);
  }
  return heads;
}

/// The line that names the columns; one before the first where none does.
std::optional<std::ptrdiff_t> heads_in(const std::vector<log::LogLine>& lines,
                                       const std::vector<std::string>& heads) {
  for (std::size_t i = 0; i < lines.size(); ++i) {
    if (lines[i].cells == heads) return static_cast<std::ptrdiff_t>(i);
  }
  return std::nullopt;
}

Sheet sheet_of_lines(const std::vector<log::LogLine>& lines, std::ptrdiff_t head,
                     std::vector<std::string> heads) {
  Sheet sheet;
  sheet.columns = std::move(heads);
  int id = 0;
  for (std::size_t i = 0; i < lines.size(); ++i) {
    const auto place = static_cast<std::ptrdiff_t>(i);
    if (lines[i].empty() || place == head) continue;
    if (place < head) {
      sheet.facts.push_back(fact_of(lines[i]));
    } else {
      sheet.rows.push_back({.id = ++id, .cells = lines[i].cells});
    }
  }
  for (const SheetRow& row : sheet.rows) {  // a row may go on beyond the heads
    while (sheet.columns.size() < row.cells.size()) sheet.columns.emplace_back();
  }
  return sheet;
}

}  // namespace

Sheet empty_sheet() {
  return {
      .facts = {},
      .columns = {"frame", "shutter", "aperture", "iso", "compensation", "mode", "scene", "notes"},
      .rows = {},
      .fixed = {},
      .settings = {}};
}

std::optional<Sheet> checked(Sheet sheet) {
  if (sheet.rows.size() > kMostRows || sheet.columns.size() > kMostColumns ||
      sheet.facts.size() > kMostFacts || sheet.columns.empty() || sheet.fixed.size() > kMostRows) {
    return std::nullopt;
  }
  for (Fact& fact : sheet.facts) {
    fact = {.name = one_line(fact.name), .text = one_line(fact.text)};
    std::erase(fact.name, ':');
  }
  for (std::string& column : sheet.columns) column = one_line(column);
  std::set<int> ids;
  for (SheetRow& row : sheet.rows) {
    row.cells.resize(sheet.columns.size());
    for (std::string& cell : row.cells) cell = one_line(std::move(cell));
    if (row.id <= 0 || !ids.insert(row.id).second) return std::nullopt;
  }
  // The last word on a picture or a row holds.
  std::set<Picture> pictures;
  std::set<int> rows;
  std::vector<FixedRow> kept;
  for (auto it = sheet.fixed.rbegin(); it != sheet.fixed.rend(); ++it) {
    if (it->row && (!ids.contains(*it->row) || rows.contains(*it->row))) continue;
    if (!pictures.insert(it->picture).second) continue;
    if (it->row) rows.insert(*it->row);
    kept.insert(kept.begin(), *it);
  }
  sheet.fixed = std::move(kept);
  return sheet;
}

std::optional<Sheet> sheet_of(std::string_view text) {
  try {
    const std::string utf8 = log::decode_text(text, "log").text;
    const log::ShotLog log = log::parse_shot_log(utf8, "log");
    const std::vector<std::string> heads = heads_of(log);
    std::vector<std::string> written;
    for (const log::LogColumn& column : log.columns) written.push_back(column.header);
    for (const char separator : {',', ';', '\t', '|'}) {
      const std::vector<log::LogLine> lines = log::split_lines(utf8, separator);
      if (const auto head = heads_in(lines, written)) {
        return checked(sheet_of_lines(lines, *head, heads));
      }
    }
    // Without heads: the separator that gives each row as many cells as columns were found.
    for (const char separator : {';', '\t', ',', '|'}) {
      const std::vector<log::LogLine> lines = log::split_lines(utf8, separator);
      if (!lines.empty() && lines.front().cells.size() == heads.size()) {
        return checked(sheet_of_lines(lines, -1, heads));
      }
    }
  } catch (const InputError&) {
    // The caller says so.
  }
  return std::nullopt;
}

WrittenLog write_log(const Sheet& sheet) {
  WrittenLog log;
  log.separator = separator_for(sheet);
  int line = 0;
  const auto write = [&](const std::vector<std::string>& cells) {
    for (std::size_t i = 0; i < cells.size(); ++i) {
      if (i > 0) log.text += log.separator;
      log.text += field(cells[i], log.separator);
    }
    log.text += "\r\n";
    return ++line;
  };
  for (const Fact& fact : sheet.facts) {
    if (fact.text.empty()) continue;
    write({fact.name.empty() ? fact.text : fact.name + ": " + fact.text});
  }
  write(sheet.columns);
  for (const SheetRow& row : sheet.rows) {
    if (!is_empty(row)) log.row_on[write(row.cells)] = row.id;
  }
  return log;
}

}  // namespace basefog::desk
