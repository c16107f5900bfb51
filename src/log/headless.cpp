// SPDX-License-Identifier: GPL-3.0-or-later
#include "log/headless.hpp"

#include <algorithm>
#include <array>
#include <cmath>
#include <map>

#include "core/plain_text.hpp"
#include "log/frames.hpp"
#include "log/values.hpp"

namespace basefog::log {
namespace {

using enum ColumnKind;
using Cells = std::vector<std::string>;

constexpr std::size_t kLeastRows = 3;

/// True where nine cells in ten are of a kind, and there are some.
template <class OfKind>
bool mostly(const Cells& cells, const OfKind& of_kind, std::size_t least = kLeastRows) {
  return cells.size() >= least && 10 * std::ranges::count_if(cells, of_kind) >=
                                      9 * static_cast<std::ptrdiff_t>(cells.size());
}

bool any(const Cells& cells, std::string_view signs) {
  return std::ranges::any_of(cells, [&](const std::string& cell) {
    return plain_form(cell).find_first_of(signs) != std::string::npos;
  });
}

std::optional<double> number_alone(const std::string& cell) {
  const std::string plain = plain_form(cell);
  Cursor cursor(plain);
  const auto number = cursor.take_number();
  return number && cursor.done() ? number : std::nullopt;
}

bool rises(const Cells& cells) {
  double before = -1;
  for (const std::string& cell : cells) {
    const auto number = number_alone(cell);
    if (!number || *number != std::floor(*number) || *number <= before || *number > 200) {
      return false;
    }
    before = *number;
  }
  return cells.size() >= kLeastRows;
}

bool are_shutter_times(const Cells& cells) {
  // A dial's marks: whole numbers are known by those that no aperture ring has.
  const bool fractions = any(cells, "/\"s");
  const bool dial = std::ranges::any_of(cells, [](const std::string& cell) {
    const auto number = number_alone(cell);
    return number && (*number == 60 || *number == 125 || *number == 250 || *number == 500 ||
                      *number == 1000 || *number == 2000);
  });
  if (!fractions && !dial) return false;
  return mostly(cells, [](const std::string& cell) {
    const auto written = parse_shutter(cell);
    return written.value && written.doubts.empty() &&
           plain_form(cell).find('f') == std::string::npos;
  });
}

bool are_apertures(const Cells& cells) {
  constexpr auto kRing =
      std::to_array<double>({1.4, 1.7, 1.8, 1.9, 2.8, 3.5, 4.5, 5.6, 6.3, 11, 22});
  const bool ring = any(cells, "f") || std::ranges::any_of(cells, [&](const std::string& cell) {
                      const auto number = number_alone(cell);
                      return number && std::ranges::find(kRing, *number) != kRing.end();
                    });
  return ring && mostly(cells, [](const std::string& cell) {
           const auto written = parse_aperture(cell);
           return written.value && written.doubts.empty() && written.value->value() < 50;
         });
}

bool are_both_settings(const Cells& cells) {
  return mostly(cells, [](const std::string& cell) {
    const auto both = parse_settings(cell, BareNumber::fraction);
    return both.value && both.value->shutter && both.value->aperture && both.doubts.empty();
  });
}

bool are_film_speeds(const Cells& cells) {
  return mostly(cells, [](const std::string& cell) {
    const auto written = parse_speed(cell);
    return written.value && written.value->ei && written.doubts.empty() &&
           written.value->ei->iso() >= 25;
  });
}

/// Most rows leave it empty.
bool are_compensations(const Cells& cells) {
  const auto is_one = [](const std::string& cell) {
    const auto written = parse_compensation(cell);
    return written.value && written.doubts.empty();
  };
  return any(cells, "+-") && mostly(cells, is_one, 1);
}

bool are_dates(const Cells& cells) {
  return mostly(cells, [](const std::string& cell) {
    const auto written = parse_date(cell);
    return written.value && written.doubts.empty();
  });
}

ColumnKind kind_by_values(const Cells& cells) {
  if (cells.empty()) return unknown;
  if (rises(cells)) return frame;
  if (are_both_settings(cells)) return settings;
  if (are_dates(cells)) return date;
  if (are_shutter_times(cells)) return shutter;
  if (are_apertures(cells)) return aperture;
  if (are_compensations(cells)) return compensation;
  if (are_film_speeds(cells)) return speed;
  return scene;
}

/// The number of cells that most lines have.
std::size_t usual_cells(const std::vector<LogLine>& lines) {
  std::map<std::size_t, int> counts;
  for (const LogLine& line : lines) counts[line.empty() ? 0 : line.cells.size()] += 1;
  counts.erase(0);
  const auto most = std::ranges::max_element(counts, {}, [](const auto& c) { return c.second; });
  return most == counts.end() ? 0 : most->first;
}

}  // namespace

std::optional<std::vector<Column>> columns_by_values(const std::vector<LogLine>& lines) {
  const std::size_t width = usual_cells(lines);
  if (width == 0) return std::nullopt;
  std::vector<Cells> columns(width);
  for (const LogLine& line : lines) {
    if (line.cells.size() != width) continue;
    for (std::size_t i = 0; i < width; ++i) {
      const std::string& cell = line.cells[i];
      if (!says_nothing(cell) && !is_ditto(cell, true)) columns[i].push_back(cell);
    }
  }
  std::vector<Column> found;
  std::map<ColumnKind, int> uses;
  for (const Cells& cells : columns) {
    Column column;
    column.kind = kind_by_values(cells);
    // A second column of numbers that rise counts something else, and further words are notes.
    if (uses[column.kind]++ > 0) column.kind = column.kind == scene ? note : unknown;
    found.push_back(column);
  }
  const bool apart = uses[shutter] == 1 && uses[aperture] == 1 && uses[settings] == 0;
  const bool together = uses[settings] == 1 && uses[shutter] == 0 && uses[aperture] == 0;
  if (!apart && !together) return std::nullopt;
  return found;
}

}  // namespace basefog::log
