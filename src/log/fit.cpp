// SPDX-License-Identifier: GPL-3.0-or-later
#include "log/fit.hpp"

#include <algorithm>
#include <array>

#include "core/plain_text.hpp"

namespace basefog::log {
namespace {

using enum ColumnKind;

bool is_whole(std::string_view text) {
  return !text.empty() && text.size() <= 4 && std::ranges::all_of(text, is_digit);
}

/// f-numbers that are marked with a decimal [Kamerarkasi].
bool is_decimal_stop(std::string_view whole, std::string_view decimals) {
  constexpr auto kStops = std::to_array<std::string_view>(
      {"1,1", "1,2", "1,4", "1,6", "1,7", "1,8", "2,2", "2,4", "2,5", "2,8",
       "3,2", "3,3", "3,5", "4,5", "4,8", "5,6", "6,3", "6,7", "7,1", "9,5"});
  for (const std::string_view prefix : {"f/", "f"}) {
    if (whole.starts_with(prefix)) {
      whole.remove_prefix(prefix.size());
      break;
    }
  }
  const std::string stop = std::string(whole) + "," + std::string(decimals);
  return std::ranges::find(kStops, std::string_view(stop)) != kStops.end();
}

/// True where two neighbouring cells read as one number with a decimal comma.
bool is_cut_number(ColumnKind kind, const std::string& first, const std::string& second) {
  std::string whole = plain_form(first);
  const std::string decimals = plain_form(second);
  if (!is_whole(decimals)) return false;
  switch (kind) {
    case aperture:
      return is_decimal_stop(whole, decimals);
    case shutter:
      return whole == "0";
    case compensation:
    case push:
      if (whole.starts_with('+') || whole.starts_with('-')) whole.erase(0, 1);
      return is_whole(whole) && (decimals == "3" || decimals == "33" || decimals == "5" ||
                                 decimals == "7" || decimals == "67");
    default:
      return false;
  }
}

/// Places where a number seems cut, by the columns as they stand once those before are healed.
std::vector<std::size_t> cut_numbers(const std::vector<std::string>& cells,
                                     const std::vector<Column>& columns) {
  std::vector<std::size_t> places;
  std::size_t cell = 0;
  for (const Column& column : columns) {
    if (cell + 1 < cells.size() && is_cut_number(column.kind, cells[cell], cells[cell + 1])) {
      places.push_back(cell);
      ++cell;
    }
    ++cell;
  }
  return places;
}

}  // namespace

FittedCells fit_to_columns(std::vector<std::string> cells, const std::vector<Column>& columns,
                           char separator) {
  while (cells.size() > columns.size() && cells.back().empty()) cells.pop_back();
  if (cells.size() <= columns.size()) {
    cells.resize(columns.size());
    return {std::move(cells), {}};
  }
  const bool words_last = holds_words(columns.back().kind);
  const std::size_t too_many = cells.size() - columns.size();
  std::vector<std::size_t> cut;
  if (separator == ',') cut = cut_numbers(cells, columns);
  Doubts doubts;
  if (!cut.empty() && (cut.size() == too_many || (cut.size() < too_many && words_last))) {
    Doubted& joined = doubts.emplace_back(Doubt::decimal_commas);
    for (auto place = cut.rbegin(); place != cut.rend(); ++place) {
      cells[*place] += "," + cells[*place + 1];
      joined.values.emplace_back(cells[*place]);
      cells.erase(cells.begin() + static_cast<std::ptrdiff_t>(*place) + 1);
    }
  } else if (!cut.empty() || !words_last) {
    doubts.push_back({Doubt::too_many_cells,
                      {static_cast<int>(cells.size()), static_cast<int>(columns.size())}});
  }
  if (words_last) {
    const std::string between = separator == ',' ? ", " : std::string(" ") + separator + " ";
    std::string& words = cells[columns.size() - 1];
    for (std::size_t i = columns.size(); i < cells.size(); ++i) words += between + cells[i];
  }
  cells.resize(columns.size());
  return {std::move(cells), std::move(doubts)};
}

}  // namespace basefog::log
