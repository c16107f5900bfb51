// SPDX-License-Identifier: GPL-3.0-or-later
// The cells of one line as rows of the log.
#pragma once

#include <map>
#include <string>
#include <vector>

#include "log/header.hpp"
#include "log/values.hpp"

namespace basefog::log {

/// Everything that reading a line needs to know of the whole table.
struct TableHabits {
  std::vector<Column> columns;
  char separator = ',';
  std::vector<BareNumber> bare_numbers;  ///< one a column
  bool labels_carry_roll = false;
  bool meter_behind_filter = true;
  /// Values that hold for the whole roll, by kind, for cells that are empty.
  std::map<ColumnKind, std::string> defaults;
};

/// Reads line after line, in order, since a ditto mark repeats what stands above.
class RowReader {
 public:
  RowReader(TableHabits habits, std::vector<LogRemark>& remarks);

  /// Rows of one line: several where the frame cell names several frames.
  std::vector<LogRow> read(const LogLine& line);

 private:
  std::vector<std::string> effective_cells(const LogLine& line, LogRow& row);
  void read_cell(LogRow& row, const Column& column, BareNumber bare, const std::string& text);
  void read_words(LogRow& row, const Column& column, const std::string& text);
  template <class Value>
  void keep(LogRow& row, const Column& column, const std::string& text,
            const Written<Value>& written, std::optional<Value>& place);
  void remark(LogRow& row, const Column& column, const std::string& text, const Doubts& doubts);
  void check_against_itself(LogRow& row);

  TableHabits habits_;
  std::vector<LogRemark>& remarks_;
  std::vector<std::string> above_;  ///< effective cells of the line above
};

}  // namespace basefog::log
