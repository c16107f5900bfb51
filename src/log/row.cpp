// SPDX-License-Identifier: GPL-3.0-or-later
#include "log/row.hpp"

#include <algorithm>

#include "core/plain_text.hpp"
#include "log/fit.hpp"
#include "log/frames.hpp"

namespace basefog::log {
namespace {

using enum ColumnKind;

/// A hyphen in these columns repeats the value above; elsewhere it says that there is none. A
/// shutter time always exists, so its absence can only be meant as "the same" (common practice).
bool hyphen_repeats(ColumnKind kind) {
  return kind == shutter || kind == aperture || kind == speed || kind == lens;
}

void append(std::string& words, const std::string& more, std::string_view between) {
  if (more.empty()) return;
  if (!words.empty()) words += between;
  words += more;
}

}  // namespace

RowReader::RowReader(TableHabits habits, std::vector<LogRemark>& remarks)
    : habits_(std::move(habits)), remarks_(remarks), above_(habits_.columns.size()) {}

void RowReader::remark(LogRow& row, const Column& column, const std::string& text,
                       const Doubts& doubts) {
  if (doubts.empty()) return;
  remarks_.push_back({row.line, column.header, text, doubts});
  switch (column.kind) {
    case shutter:
    case aperture:
    case settings:
    case speed:
    case compensation:
    case mode:
    case filter:
      row.doubtful = true;
      break;
    default:
      break;
  }
}

template <class Value>
void RowReader::keep(LogRow& row, const Column& column, const std::string& text,
                     const Written<Value>& written, std::optional<Value>& place) {
  if (written.value) place = written.value;
  remark(row, column, text, written.doubts);
}

std::vector<std::string> RowReader::effective_cells(const LogLine& line, LogRow& row) {
  const std::vector<Column>& columns = habits_.columns;
  auto [cells, doubts] = fit_to_columns(line.cells, columns, habits_.separator);
  if (!doubts.empty()) {
    row.doubtful = true;
    remarks_.push_back({line.number, "", "", std::move(doubts)});
  }
  for (std::size_t i = 0; i < columns.size(); ++i) {
    if (columns[i].kind == frame || !is_ditto(cells[i], hyphen_repeats(columns[i].kind))) continue;
    if (above_[i].empty()) {
      remarks_.push_back({line.number, columns[i].header, cells[i], {Doubt::nothing_above}});
    } else if (plain_form(cells[i]) == "-") {
      remarks_.push_back(
          {line.number, columns[i].header, cells[i], {Doubted(Doubt::same_as_above, {above_[i]})}});
    }
    cells[i] = above_[i];
  }
  above_ = cells;
  return cells;
}

void RowReader::read_words(LogRow& row, const Column& column, const std::string& text) {
  if (says_nothing(text)) return;
  switch (column.kind) {
    case lens: {
      row.lens = text;
      const Written<double> length = parse_focal_length(text);
      if (length.value && !row.focal_length_mm) row.focal_length_mm = length.value;
      return;
    }
    case metering:
      row.metering = text;
      return;
    case scene:
      append(row.scene, text, ", ");
      return;
    case time_of_day:
      if (row.date.size() == 10) {
        const Written<std::string> both = parse_date(row.date + " " + text);
        if (both.doubts.empty() && both.value) {
          row.date = *both.value;
          return;
        }
      }
      append(row.note, text, "; ");
      return;
    case roll:
      row.roll = text;
      return;
    case film:
    case film_speed:
    case camera:
    case meter:
      return;  // what the whole roll has in common stands in the log itself
    case unknown:
      if (column.header.empty()) {
        append(row.note, text, "; ");
      } else {
        append(row.note, column.header + ": " + text, "; ");
      }
      return;
    default:
      append(row.note, text, "; ");
      return;
  }
}

void RowReader::read_cell(LogRow& row, const Column& column, BareNumber bare,
                          const std::string& text) {
  ShotSettings& place = column.metered ? row.metered : row.used;
  switch (column.kind) {
    case shutter:
      return keep(row, column, text, parse_shutter(text, bare), place.shutter);
    case aperture:
      return keep(row, column, text, parse_aperture(text), place.aperture);
    case settings: {
      const Written<ShotSettings> both = parse_settings(text, bare);
      if (both.value && both.value->shutter) place.shutter = both.value->shutter;
      if (both.value && both.value->aperture) place.aperture = both.value->aperture;
      return remark(row, column, text, both.doubts);
    }
    case speed: {
      const Written<WrittenSpeed> written = parse_speed(text, column.in_degrees);
      if (written.value) row.ei = written.value->ei;
      if (written.value && written.value->push) row.push = written.value->push;
      return remark(row, column, text, written.doubts);
    }
    case compensation:
      return keep(row, column, text, parse_compensation(text), row.compensation);
    case mode:
      return keep(row, column, text, parse_mode(text), row.mode);
    case focal_length:
      return keep(row, column, text, parse_focal_length(text), row.focal_length_mm);
    case filter:
      row.filter_name = text;
      return keep(
          row, column, text,
          parse_filter(column.neutral_density && is_digit(text.front()) ? "ND" + text : text),
          row.filter);
    case push:
      return keep(row, column, text, parse_push(text), row.push);
    case date: {
      const Written<std::string> written = parse_date(text);
      if (written.value) row.date = *written.value;
      return remark(row, column, text, written.doubts);
    }
    case frame:
      return;
    default:
      return read_words(row, column, text);
  }
}

void RowReader::check_against_itself(LogRow& row) {
  if (row.used.shutter && row.used.aperture && row.metered.shutter && row.metered.aperture &&
      row.compensation && *row.compensation != Stops(0)) {
    const Stops difference = exposure_change(*row.used.shutter, *row.used.aperture,
                                             *row.metered.shutter, *row.metered.aperture);
    if (abs(difference) > Stops(0.25) && abs(difference - *row.compensation) > Stops(0.25)) {
      row.doubtful = true;
      remarks_.push_back({row.line, "", "", {Doubt::settings_disagree}});
    }
  }
}

std::vector<LogRow> RowReader::read(const LogLine& line) {
  LogRow row;
  row.line = line.number;
  std::vector<std::string> cells = effective_cells(line, row);
  std::string label;
  // What is written of the settings used, whether understood or not: where nothing is, the meter
  // was followed.
  struct {
    bool shutter = false;
    bool aperture = false;
  } written;
  for (std::size_t i = 0; i < cells.size(); ++i) {
    const Column& column = habits_.columns[i];
    if (column.kind == frame) label = cells[i];
    if (column.kind == frame || column.kind == note || column.kind == scene ||
        column.kind == unknown) {
      // "yes" under the head "Flash".
      const std::string text = column.kind == unknown ? column.header + ": " + cells[i] : cells[i];
      row.flash |= !says_nothing(cells[i]) && says_flash(text);
    }
    if (says_no_picture(cells[i])) {
      row.no_picture = true;
      if (column.kind != frame) append(row.note, cells[i], "; ");
      continue;
    }
    if (cells[i].empty()) {
      const auto whole_roll = habits_.defaults.find(column.kind);
      if (whole_roll == habits_.defaults.end()) continue;
      cells[i] = whole_roll->second;
    }
    if (!column.metered) {
      written.shutter |= column.kind == shutter || column.kind == settings;
      written.aperture |= column.kind == aperture || column.kind == settings;
    }
    read_cell(row, column, habits_.bare_numbers[i], cells[i]);
  }
  for (const auto& [kind, text] : habits_.defaults) {
    if (std::ranges::find(habits_.columns, kind, &Column::kind) != habits_.columns.end()) continue;
    Column column;
    column.kind = kind;
    column.header = meaning_of(column);
    read_cell(row, column, BareNumber::fraction, text);
  }
  if (!written.shutter && !row.used.shutter) row.used.shutter = row.metered.shutter;
  if (!written.aperture && !row.used.aperture) row.used.aperture = row.metered.aperture;
  row.meter_behind_filter =
      habits_.meter_behind_filter && !row.metered.shutter && !row.metered.aperture;
  check_against_itself(row);
  if (habits_.labels_carry_roll) label = without_roll(label);
  std::vector<LogRow> rows;
  for (std::string& frame_label : frames_in(label)) {
    row.frame = std::move(frame_label);
    rows.push_back(row);
  }
  return rows;
}

}  // namespace basefog::log
