// SPDX-License-Identifier: GPL-3.0-or-later
#include <fmt/format.h>

#include <cmath>
#include <string>
#include <string_view>

#include "basefog/core/error.hpp"
#include "basefog/core/limits.hpp"
#include "basefog/film/film_test.hpp"
#include "core/plain_text.hpp"
#include "film/table_cells.hpp"

namespace basefog::film {
namespace {

/// Densitometers read to 0.01 and repeat to 0.01 to 0.02 (common practice).
constexpr double kDensitometerSigma = 0.01;

/// More than any film or densitometer has, even where a table gives hundredths (judgement).
constexpr double kMostDensity = 1000;

const char* const kNextStep =
    "give one header line, then rows of log10 exposure and densities, separated by commas";

struct Table {
  std::vector<std::string> columns;
  std::vector<std::vector<std::optional<double>>> rows;  ///< empty cells are absent
};

Table read_table(const std::filesystem::path& path) {
  Table table;
  for (const TableLine& line :
       table_lines(path, {"a table of densities", limits::kMostSettingsBytes})) {
    const std::vector<std::string> cells = table_cells(line.text);
    if (table.columns.empty()) {
      table.columns = cells;
      continue;
    }
    if (cells.size() > table.columns.size()) {
      throw InputError(ErrorCode::malformed, path,
                       fmt::format("line {} has more cells than the header", line.number),
                       kNextStep);
    }
    std::vector<std::optional<double>> row(table.columns.size());
    for (std::size_t i = 0; i < cells.size(); ++i) {
      if (cells[i].empty()) continue;
      row[i] = number_in_cell(cells[i]);
      if (!row[i]) {
        throw InputError(ErrorCode::malformed, path,
                         fmt::format("line {}: '{}' is not a number", line.number, cells[i]),
                         kNextStep);
      }
      if (i > 0 && std::abs(*row[i]) > kMostDensity) {
        throw InputError(ErrorCode::malformed, path,
                         fmt::format("line {}: '{}' is no density", line.number, cells[i]),
                         kNextStep);
      }
    }
    if (!row.front()) {
      throw InputError(ErrorCode::malformed, path,
                       fmt::format("line {} has no exposure", line.number), kNextStep);
    }
    table.rows.push_back(std::move(row));
    if (table.rows.size() > limits::kMostTableRows) {
      throw InputError(ErrorCode::malformed, path,
                       fmt::format("has more than {} rows", limits::kMostTableRows),
                       "give one row a step");
    }
  }
  if (table.columns.size() < 2 || table.rows.empty()) {
    throw InputError(ErrorCode::malformed, path, "holds no table of densities", kNextStep);
  }
  return table;
}

/// Columns of red, green and blue densities; empty where the table has no such three.
std::vector<std::size_t> colour_columns(const Table& table) {
  std::vector<std::size_t> found;
  for (const std::string_view colour : {"red", "green", "blue"}) {
    for (std::size_t i = 1; i < table.columns.size(); ++i) {
      const std::string name = lower_case(table.columns[i]);
      if (name == colour || name == colour.substr(0, 1)) {
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

}  // namespace basefog::film
