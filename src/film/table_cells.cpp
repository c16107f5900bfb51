// SPDX-License-Identifier: GPL-3.0-or-later
#include "film/table_cells.hpp"

#include <algorithm>
#include <cctype>
#include <charconv>
#include <cmath>
#include <sstream>
#include <utility>

namespace basefog::film {
namespace {

std::string_view without_blanks(std::string_view text) {
  const auto is_blank = [](char c) { return std::isspace(static_cast<unsigned char>(c)) != 0; };
  while (!text.empty() && is_blank(text.front())) text.remove_prefix(1);
  while (!text.empty() && is_blank(text.back())) text.remove_suffix(1);
  return text;
}

std::string_view trimmed(std::string_view text) {
  text = without_blanks(text);
  if (text.size() >= 2 && text.front() == '"' && text.back() == '"') {
    text = without_blanks(text.substr(1, text.size() - 2));
  }
  return text;
}

}  // namespace

std::vector<TableLine> table_lines(const std::filesystem::path& path, const TextFileKind& kind) {
  constexpr std::string_view kByteOrderMark = "\xEF\xBB\xBF";
  std::string whole = read_text_file(path, kind);
  // Some spreadsheets end lines with a carriage return alone.
  if (whole.find('\n') == std::string::npos) std::replace(whole.begin(), whole.end(), '\r', '\n');
  std::istringstream file(std::move(whole));
  std::vector<TableLine> lines;
  std::string text;
  for (int number = 1; std::getline(file, text); ++number) {
    if (number == 1 && text.starts_with(kByteOrderMark)) text.erase(0, kByteOrderMark.size());
    const std::string_view said = without_blanks(text);
    if (!said.empty() && said.front() != '#') lines.push_back({number, text});
  }
  return lines;
}

std::vector<std::string> table_cells(std::string_view line) {
  const char separator = line.find(';') != std::string_view::npos    ? ';'
                         : line.find('\t') != std::string_view::npos ? '\t'
                                                                     : ',';
  std::vector<std::string> cells;
  while (true) {
    const std::size_t end = line.find(separator);
    cells.emplace_back(trimmed(line.substr(0, end)));
    if (end == std::string_view::npos) return cells;
    line.remove_prefix(end + 1);
  }
}

std::optional<double> number_in_cell(std::string cell) {
  std::replace(cell.begin(), cell.end(), ',', '.');
  if (cell.starts_with('+')) cell.erase(0, 1);
  double value = 0;
  const auto [end, error] = std::from_chars(cell.data(), cell.data() + cell.size(), value);
  const bool whole = error == std::errc() && end == cell.data() + cell.size();
  return whole && std::isfinite(value) ? std::optional(value) : std::nullopt;
}

}  // namespace basefog::film
