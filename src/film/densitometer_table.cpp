// SPDX-License-Identifier: GPL-3.0-or-later
#include <fmt/format.h>

#include <algorithm>
#include <array>
#include <cctype>
#include <charconv>
#include <sstream>
#include <string>
#include <string_view>

#include "basefog/error.hpp"
#include "basefog/film_test.hpp"
#include "basefog/limits.hpp"
#include "core/text_file.hpp"

namespace basefog {
namespace {

/// Densitometers read to 0.01 and repeat to 0.01 to 0.02 (common practice).
constexpr double kDensitometerSigma = 0.01;

const char* const kNextStep =
    "give one header line, then rows of log10 exposure and densities, separated by commas";

std::string_view trimmed(std::string_view text) {
  while (!text.empty() && std::isspace(static_cast<unsigned char>(text.front())) != 0) {
    text.remove_prefix(1);
  }
  while (!text.empty() && std::isspace(static_cast<unsigned char>(text.back())) != 0) {
    text.remove_suffix(1);
  }
  if (text.size() >= 2 && text.front() == '"' && text.back() == '"') {
    text = text.substr(1, text.size() - 2);
  }
  return text;
}

std::vector<std::string> cells_of(std::string_view line) {
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

/// A number with a point, or with a comma where the table is separated otherwise.
std::optional<double> number(std::string text) {
  std::replace(text.begin(), text.end(), ',', '.');
  if (!text.empty() && text.front() == '+') text.erase(0, 1);
  double value = 0;
  const auto [end, error] = std::from_chars(text.data(), text.data() + text.size(), value);
  if (error != std::errc() || end != text.data() + text.size()) return std::nullopt;
  return value;
}

struct Table {
  std::vector<std::string> columns;
  std::vector<std::vector<std::optional<double>>> rows;  ///< empty cells are absent
};

Table read_table(const std::filesystem::path& path) {
  std::istringstream file(
      read_text_file(path, {"a table of densities", limits::kMostSettingsBytes}));
  Table table;
  std::string line;
  int number_of_line = 0;
  while (std::getline(file, line)) {
    ++number_of_line;
    if (number_of_line == 1 && line.starts_with("\xEF\xBB\xBF")) line.erase(0, 3);
    if (trimmed(line).empty() || line.front() == '#') continue;
    const std::vector<std::string> cells = cells_of(line);
    if (table.columns.empty()) {
      table.columns = cells;
      continue;
    }
    if (cells.size() > table.columns.size()) {
      throw InputError(ErrorCode::malformed, path,
                       fmt::format("line {} has more cells than the header", number_of_line),
                       kNextStep);
    }
    std::vector<std::optional<double>> row(table.columns.size());
    for (std::size_t i = 0; i < cells.size(); ++i) {
      if (cells[i].empty()) continue;
      row[i] = number(cells[i]);
      if (!row[i]) {
        throw InputError(ErrorCode::malformed, path,
                         fmt::format("line {}: '{}' is not a number", number_of_line, cells[i]),
                         kNextStep);
      }
    }
    if (!row.front()) {
      throw InputError(ErrorCode::malformed, path,
                       fmt::format("line {} has no exposure", number_of_line), kNextStep);
    }
    table.rows.push_back(std::move(row));
  }
  if (table.columns.size() < 2 || table.rows.empty()) {
    throw InputError(ErrorCode::malformed, path, "holds no table of densities", kNextStep);
  }
  return table;
}

/// Columns of red, green and blue densities; empty where the table has no such three.
std::vector<std::size_t> colour_columns(const Table& table) {
  std::vector<std::size_t> found;
  for (const char initial : {'r', 'g', 'b'}) {
    for (std::size_t i = 1; i < table.columns.size(); ++i) {
      const std::string& name = table.columns[i];
      if (!name.empty() && std::tolower(static_cast<unsigned char>(name.front())) == initial) {
        found.push_back(i);
        break;
      }
    }
  }
  return found.size() == 3 ? found : std::vector<std::size_t>{};
}

FilmTestSeries series_from(const Table& table, const std::vector<std::size_t>& columns,
                           bool absolute) {
  FilmTestSeries series;
  series.absolute = absolute;
  for (const auto& row : table.rows) {
    FilmTestStep step{.name = {}, .log_h = *row.front(), .density = {}, .sigma = {}};
    bool complete = true;
    for (const std::size_t column : columns) {
      complete = complete && row[column].has_value();
      step.density.push_back(row[column].value_or(0));
      step.sigma.push_back(kDensitometerSigma);
    }
    if (complete) series.steps.push_back(std::move(step));
  }
  return series;
}

}  // namespace

std::vector<FilmTestSeries> read_densitometer_table(const std::filesystem::path& path,
                                                    FilmKind kind, bool absolute) {
  const Table table = read_table(path);
  std::vector<FilmTestSeries> all;
  if (kind == FilmKind::colour_negative) {
    const std::vector<std::size_t> columns = colour_columns(table);
    if (columns.empty()) {
      throw InputError(ErrorCode::malformed, path, "has no columns red, green and blue",
                       "name the density columns R, G and B");
    }
    all.push_back(series_from(table, columns, absolute));
    all.back().name = path.stem().string();
    all.back().layers = {"red", "green", "blue"};
    return all;
  }
  for (std::size_t column = 1; column < table.columns.size(); ++column) {
    all.push_back(series_from(table, {column}, absolute));
    all.back().name = table.columns[column];
    all.back().layers = {"silver"};
  }
  return all;
}

}  // namespace basefog
