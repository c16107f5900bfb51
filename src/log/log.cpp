// SPDX-License-Identifier: GPL-3.0-or-later
#include "basefog/log/log.hpp"

#include <fmt/format.h>

#include <algorithm>
#include <array>
#include <iterator>
#include <set>

#include "basefog/core/error.hpp"
#include "basefog/core/limits.hpp"
#include "basefog/log/camera.hpp"
#include "core/name_list.hpp"
#include "core/plain_text.hpp"
#include "core/text_file.hpp"
#include "log/frames.hpp"
#include "log/header.hpp"
#include "log/headless.hpp"
#include "log/row.hpp"
#include "log/table.hpp"
#include "log/values.hpp"

namespace basefog::log {
namespace {

using enum ColumnKind;

/// Column names are looked for in so many first lines.
constexpr std::size_t kMostLinesAbove = 200;

/// A log cut into cells at the separator that makes most sense of its head.
struct Table {
  char separator = ',';
  std::vector<LogLine> lines;
  std::size_t header_line = 0;
  std::vector<Column> columns;
  bool headless = false;  ///< the line of heads stands for none
};

/// The table without heads that the values make sense of, if there is one; its lines begin with one
/// that stands for the heads.
std::optional<Table> find_headless(std::string_view text) {
  for (const char separator : {';', '\t', ',', '|'}) {
    Table table{separator, split_lines(text, separator), 0, {}, true};
    auto columns = columns_by_values(table.lines);
    if (!columns) continue;
    table.columns = *std::move(columns);
    LogLine heads{1, {}};
    for (const Column& column : table.columns) heads.cells.push_back(meaning_of(column));
    table.lines.insert(table.lines.begin(), std::move(heads));
    return table;
  }
  return std::nullopt;
}

std::ptrdiff_t known_columns(const Table& table) {
  return std::ranges::count_if(table.columns,
                               [](const Column& column) { return column.kind != unknown; });
}

Table find_table(std::string_view text, const std::filesystem::path& path) {
  Table best;
  for (const char separator : {',', ';', '\t', '|'}) {
    Table table{separator, split_lines(text, separator), 0, {}};
    const std::size_t last = std::min(table.lines.size(), kMostLinesAbove);
    for (std::size_t i = 0; i < last && table.columns.empty(); ++i) {
      if (auto columns = read_header(table.lines[i])) {
        table.header_line = i;
        table.columns = *std::move(columns);
      }
    }
    if (known_columns(table) > known_columns(best)) best = std::move(table);
  }
  if (best.columns.empty()) {
    if (auto headless = find_headless(text)) return *std::move(headless);
    throw InputError(ErrorCode::malformed, path, "has no line of column names that name settings",
                     "begin it with a line such as: frame, shutter, aperture, iso, notes");
  }
  return best;
}

bool is_comment(const LogLine& line) {
  const std::string& first = line.cells.front();
  if (first.starts_with("//") || first.starts_with('%')) return true;
  if (!first.starts_with('#')) return false;
  // "#7" is a frame's number.
  return first.size() > 1 && !(is_digit(first[1]) && line.cells.size() > 1);
}

/// The rule under the head of a table drawn with bars and hyphens; single ones are ditto marks.
bool is_rule(const LogLine& line) {
  const bool drawn =
      std::ranges::any_of(line.cells, [](const std::string& cell) { return cell.size() > 1; });
  return drawn && std::ranges::all_of(line.cells, [](const std::string& cell) {
           return cell.find_first_not_of("-=:+ ") == std::string::npos;
         });
}

bool repeats_header(const LogLine& line, const Table& table) {
  return line.cells == table.lines[table.header_line].cells;
}

/// Lines between the rows that say nothing of a frame.
bool is_between_rows(const LogLine& line, const Table& table) {
  return line.empty() || is_comment(line) || is_rule(line) || repeats_header(line, table);
}

std::vector<std::string> cells_of(const Table& table, std::size_t column) {
  std::vector<std::string> cells;
  for (std::size_t i = table.header_line + 1; i < table.lines.size(); ++i) {
    const LogLine& line = table.lines[i];
    if (is_between_rows(line, table)) continue;
    if (column < line.cells.size()) cells.push_back(line.cells[column]);
  }
  return cells;
}

/// The line on which the rows begin, or the head's where there are none.
int first_row_number(const Table& table) {
  for (std::size_t i = table.header_line + 1; i < table.lines.size(); ++i) {
    if (!is_between_rows(table.lines[i], table)) return table.lines[i].number;
  }
  return table.lines[table.header_line].number;
}

bool meter_stands_apart(std::string_view meter) {
  const std::string plain = plain_form(meter);
  return std::ranges::any_of(
      std::to_array<std::string_view>({"hand", "incident", "external", "separate", "sunny", "phone",
                                       "guess", "spot meter", "spotmeter", "none", "no meter"}),
      [&](std::string_view word) { return plain.find(word) != std::string::npos; });
}

/// Facts about the whole roll from one line above the table.
void keep_fact(const RollFact& fact, int line, ShotLog& log, TableHabits& habits) {
  switch (fact.column.kind) {
    case film:
    case speed:
    case film_speed: {
      const bool name = fact.column.kind == film;
      const std::string head = plain_form(fact.column.header);
      const bool rated =
          !name &&
          (head.find("ei") != std::string::npos || head.find("rated") != std::string::npos ||
           head.find("index") != std::string::npos || head.find("shot") != std::string::npos);
      if (name) log.film = fact.value;
      const Written<WrittenSpeed> written =
          name ? speed_of_film(fact.value) : parse_speed(fact.value, fact.column.in_degrees);
      if (!written.doubts.empty()) {
        log.remarks.push_back({line, fact.column.header, fact.value, written.doubts});
      }
      if (!written.value) return;
      if (written.value->film) log.film_speed = written.value->film;
      if (written.value->film || rated) {
        habits.defaults[speed] = as_marked(*written.value->ei);
        if (written.value->push) {
          habits.defaults[push] = fmt::format("{:+g}", written.value->push->value());
        }
      } else {
        log.film_speed = written.value->ei;
      }
      return;
    }
    case camera:
      log.camera = fact.value;
      return;
    case meter:
      log.meter = fact.value;
      habits.meter_behind_filter = !meter_stands_apart(fact.value);
      return;
    case roll:
      log.roll = fact.value;
      return;
    case push:
      log.developed = fact.value;
      // "9 min at 20 C" asks for no push.
      if (parse_push(fact.value).doubts.empty()) habits.defaults[push] = fact.value;
      return;
    case lens:
    case mode:
    case metering:
    case date:
    case focal_length:
    case filter:
      habits.defaults[fact.column.kind] = fact.value;
      return;
    default:
      return;
  }
}

/// What a whole roll has in common may stand in a column, the same in every row.
void keep_common_values(const Table& table, ShotLog& log, TableHabits& habits) {
  for (std::size_t i = 0; i < table.columns.size(); ++i) {
    const Column& column = table.columns[i];
    const bool common = column.kind == film || column.kind == film_speed || column.kind == camera ||
                        column.kind == meter || column.kind == roll;
    if (!common) continue;
    std::set<std::string> values;
    for (const std::string& cell : cells_of(table, i)) {
      if (!says_nothing(cell) && !is_ditto(cell, true)) values.insert(cell);
    }
    const int line = table.lines[table.header_line].number;
    if (values.size() == 1) {
      keep_fact({column, *values.begin()}, line, log, habits);
    } else if (!values.empty()) {
      log.remarks.push_back({line,
                             column.header,
                             "",
                             {Doubted(Doubt::several_values, {static_cast<int>(values.size())})}});
    }
  }
}

/// Written once, in the first row, and never again: meant for all rows.
void fill_down_first_values(const Table& table, ShotLog& log, TableHabits& habits) {
  for (std::size_t i = 0; i < table.columns.size(); ++i) {
    const Column& column = table.columns[i];
    if (column.kind != speed && column.kind != lens && column.kind != mode &&
        column.kind != focal_length) {
      continue;
    }
    const std::vector<std::string> cells = cells_of(table, i);
    const bool once = cells.size() >= 3 && !cells.front().empty() &&
                      std::all_of(cells.begin() + 1, cells.end(),
                                  [](const std::string& cell) { return cell.empty(); });
    if (!once) continue;
    habits.defaults[column.kind] = cells.front();
    log.remarks.push_back(
        {first_row_number(table), column.header, cells.front(), {Doubt::first_row_only}});
  }
}

/// A row that carries a label and nothing else, as on a printed sheet that was not filled in.
bool is_unfilled(const LogRow& row) {
  return !row.used.shutter && !row.used.aperture && !row.metered.shutter && !row.metered.aperture &&
         !row.compensation && row.scene.empty() && row.note.empty() && !row.no_picture &&
         !row.doubtful;
}

void remark_on_labels(ShotLog& log) {
  std::set<std::string> seen;
  for (const LogRow& row : log.rows) {
    if (!row.frame.empty() && !seen.insert(row.frame).second) {
      log.remarks.push_back({row.line, "", row.frame, {Doubt::label_again}});
    }
  }
}

void remark_on_unknown_columns(const Table& table, ShotLog& log) {
  for (const Column& column : table.columns) {
    if (column.kind != unknown || column.header.empty()) continue;
    log.remarks.push_back(
        {table.lines[table.header_line].number, column.header, "", {Doubt::unknown_column}});
  }
}

void remark_on_no_heads(const Table& table, ShotLog& log) {
  std::string meanings;
  for (const std::string& head : table.lines[table.header_line].cells) {
    meanings += (meanings.empty() ? "" : ", ") + head;
  }
  log.remarks.push_back({1, "", "", {Doubted(Doubt::no_heads, {meanings})}});
}

TableHabits habits_of(const Table& table) {
  TableHabits habits;
  habits.columns = table.columns;
  habits.separator = table.separator;
  for (std::size_t i = 0; i < table.columns.size(); ++i) {
    const Column& column = table.columns[i];
    const bool times = column.kind == shutter || column.kind == settings;
    habits.bare_numbers.push_back(
        times ? bare_number_meaning(cells_of(table, i), column.in_seconds, column.in_fractions)
              : BareNumber::fraction);
    if (column.kind == frame) habits.labels_carry_roll = labels_carry_roll(cells_of(table, i));
  }
  return habits;
}

/// Lines that are no rows: comments, rules, a second header, facts and titles between the rows.
bool is_row(const LogLine& line, const Table& table, ShotLog& log) {
  if (is_between_rows(line, table)) return false;
  const auto filled =
      std::ranges::count_if(line.cells, [](const std::string& cell) { return !cell.empty(); });
  const bool only_words = filled == 1 && line.cells.size() < table.columns.size() &&
                          !is_digit(line.cells.front().empty() ? ' ' : line.cells.front().front());
  if (only_words && !says_no_picture(line.cells.front())) {
    log.remarks.push_back({line.number, "", line.cells.front(), {Doubt::not_a_row}});
    return false;
  }
  return true;
}

}  // namespace

std::string_view name_of(ExposureMode mode) {
  return name_in(std::to_array<std::string_view>(
                     {"manual", "aperture_priority", "shutter_priority", "program"}),
                 mode);
}

ShotLog parse_shot_log(std::string_view bytes, const std::filesystem::path& path) {
  const DecodedText decoded = decode_text(bytes, path);
  const Table table = find_table(decoded.text, path);
  ShotLog log;
  log.path = path;
  log.encoding = decoded.encoding;
  for (const Column& column : table.columns) {
    log.columns.push_back({column.header, meaning_of(column)});
  }
  TableHabits habits = habits_of(table);
  for (std::size_t i = 0; i < table.header_line; ++i) {
    if (const auto fact = read_roll_fact(table.lines[i])) {
      keep_fact(*fact, table.lines[i].number, log, habits);
    }
  }
  if (table.headless) remark_on_no_heads(table, log);
  remark_on_unknown_columns(table, log);
  keep_common_values(table, log, habits);
  fill_down_first_values(table, log, habits);
  RowReader reader(std::move(habits), log.remarks);
  for (std::size_t i = table.header_line + 1; i < table.lines.size(); ++i) {
    if (!is_row(table.lines[i], table, log)) continue;
    std::ranges::move(reader.read(table.lines[i]), std::back_inserter(log.rows));
    if (log.rows.size() > limits::kMostLogRows) {
      throw InputError(
          ErrorCode::malformed, path,
          fmt::format("has more than {} rows, which no roll has", limits::kMostLogRows),
          "give the log of one roll");
    }
  }
  while (!log.rows.empty() && is_unfilled(log.rows.back())) log.rows.pop_back();
  if (log.rows.empty()) {
    throw InputError(ErrorCode::malformed, path, "has column names but no rows",
                     "write one row for each frame below them");
  }
  remark_on_labels(log);
  settle_marks(log);
  std::ranges::stable_sort(log.remarks, {}, &LogRemark::line);
  return log;
}

ShotLog read_shot_log(const std::filesystem::path& path) {
  return parse_shot_log(read_text_file(path, {"a log", limits::kMostLogBytes}), path);
}

}  // namespace basefog::log
