// SPDX-License-Identifier: GPL-3.0-or-later
#include "basefog/report/log_table.hpp"

#include <fmt/format.h>

#include <algorithm>
#include <numeric>
#include <string>
#include <vector>

#include "basefog/report/log_wording.hpp"
#include "report/markup.hpp"
#include "report/wording.hpp"

namespace basefog::report {
namespace {

constexpr int kLeastColumns = 30;
constexpr int kMostColumns = 160;
/// The head of the column that tells rows apart, which is never cut to the same.
constexpr const char* kFrame = "frame";

/// One column of the table; empty ones are left out, and the widest give way to what room there is.
struct Column {
  std::string head;
  std::vector<std::string> cells;

  bool empty() const {
    return std::ranges::all_of(cells, [](const std::string& cell) { return cell.empty(); });
  }
  int width() const {
    int widest = display_width(head);
    for (const std::string& cell : cells) widest = std::max(widest, display_width(cell));
    return widest;
  }
};

template <class Mark>
std::string mark_text(const std::optional<Mark>& mark) {
  return mark ? as_marked(*mark) : "";
}

std::string stops_text(const std::optional<Stops>& stops) {
  if (!stops) return "";
  // Two places, since thirds and halves differ only there.
  return *stops == Stops(0) ? "0" : fmt::format("{:+.2f}", stops->value());
}

std::string kind_text(const log::LogRow& row) {
  std::string text;
  if (row.no_picture) text = "no picture";
  if (row.flash) text += text.empty() ? "flash" : ", flash";
  return text;
}

std::vector<Column> columns_of(const log::ShotLog& log) {
  std::vector<Column> columns;
  const auto add = [&](std::string head, auto text_of) {
    Column column{std::move(head), {}};
    for (const log::LogRow& row : log.rows) column.cells.push_back(printable(text_of(row)));
    if (!column.empty()) columns.push_back(std::move(column));
  };
  add("line", [](const log::LogRow& row) { return std::to_string(row.line); });
  add("", [](const log::LogRow& row) { return row.doubtful ? std::string("?") : std::string(); });
  add(kFrame, [](const log::LogRow& row) { return row.frame; });
  add("metered", [](const log::LogRow& row) { return mark_text(row.metered.shutter); });
  add("at", [](const log::LogRow& row) { return mark_text(row.metered.aperture); });
  add("shutter", [](const log::LogRow& row) { return mark_text(row.used.shutter); });
  add("aperture", [](const log::LogRow& row) { return mark_text(row.used.aperture); });
  add("EI", [](const log::LogRow& row) { return mark_text(row.ei); });
  add("comp.", [](const log::LogRow& row) { return stops_text(row.compensation); });
  add("filter", [](const log::LogRow& row) {
    return row.filter ? fmt::format("{:.1f} stops", row.filter->value()) : row.filter_name;
  });
  add("push", [](const log::LogRow& row) { return stops_text(row.push); });
  add("mode",
      [](const log::LogRow& row) { return row.mode ? spaced(name_of(*row.mode)) : std::string(); });
  add("lens", [](const log::LogRow& row) {
    return row.lens.empty() && row.focal_length_mm ? fmt::format("{:g} mm", *row.focal_length_mm)
                                                   : row.lens;
  });
  add("date", [](const log::LogRow& row) { return row.date; });
  add("", kind_text);
  add("scene", [](const log::LogRow& row) { return row.scene; });
  add("note", [](const log::LogRow& row) { return row.note; });
  return columns;
}

/// Long words give way to the rest of the table.
std::vector<int> widths_of(const std::vector<Column>& columns, int width) {
  constexpr int kLeastWidth = 6;
  std::vector<int> widths;
  int total = -1;
  for (const Column& column : columns) {
    widths.push_back(column.width());
    total += widths.back() + 1;
  }
  while (total > width) {
    const auto widest = std::ranges::max_element(widths);
    if (*widest <= kLeastWidth) break;
    --*widest;
    --total;
  }
  return widths;
}

/// Each row in words, for lines too short for a table.
void write_list(std::ostream& out, const std::vector<Column>& columns, std::size_t rows,
                int width) {
  constexpr int kIndent = 2;
  for (std::size_t row = 0; row < rows; ++row) {
    std::string text;
    for (const Column& column : columns) {
      const std::string& cell = column.cells[row];
      if (cell.empty()) continue;
      text += fmt::format("{}{}{}{}", text.empty() ? "" : ", ", column.head,
                          column.head.empty() ? "" : " ", cell);
    }
    out << wrap(text, width, kIndent);
  }
}

void write_rows(std::ostream& out, const log::ShotLog& log, int width) {
  std::vector<Column> columns = columns_of(log);
  const std::vector<int> widths = widths_of(columns, width);
  const auto spaces = static_cast<int>(widths.size()) - 1;
  if (std::accumulate(widths.begin(), widths.end(), spaces) > width) {
    write_list(out, columns, log.rows.size(), width);
    return;
  }
  for (std::size_t i = 0; i < columns.size(); ++i) {
    if (columns[i].head == kFrame) columns[i].cells = short_names(columns[i].cells, widths[i]);
  }
  const auto write_line = [&](auto cell_of) {
    std::string line;
    for (std::size_t i = 0; i < columns.size(); ++i) {
      line += fit(cell_of(columns[i]), widths[i]) + " ";
    }
    line.erase(line.find_last_not_of(' ') + 1);
    out << line << '\n';
  };
  write_line([](const Column& column) { return column.head; });
  for (std::size_t row = 0; row < log.rows.size(); ++row) {
    write_line([row](const Column& column) { return column.cells[row]; });
  }
}

std::string head_text(const log::ShotLog& log) {
  std::string text =
      fmt::format("{} row{} in {}", log.rows.size(), log.rows.size() == 1 ? "" : "s", log.encoding);
  const auto add = [&text](std::string_view name, const std::string& value) {
    if (!value.empty()) text += fmt::format("; {} {}", name, value);
  };
  add("roll", log.roll);
  add("film", log.film);
  if (log.film_speed) add("film speed ISO", as_marked(*log.film_speed));
  add("camera", log.camera);
  add("meter", log.meter);
  return text + ".";
}

std::string columns_text(const log::ShotLog& log) {
  std::string text;
  for (const log::LogColumn& column : log.columns) {
    if (column.header.empty()) continue;
    text += fmt::format("{}\"{}\" is {}", text.empty() ? "Columns: " : ", ", column.header,
                        column.meaning);
  }
  return text + ".";
}

}  // namespace

void write_log_table(std::ostream& out, const log::ShotLog& log, const TerminalStyle& style) {
  const int width = std::clamp(style.columns, kLeastColumns, kMostColumns);
  out << wrap(printable(head_text(log)), width, 0);
  out << wrap(printable(columns_text(log)), width, 0) << '\n';
  write_rows(out, log, width);
  if (log.remarks.empty()) {
    out << "\nNothing was doubtful.\n";
    return;
  }
  out << '\n';
  for (const log::LogRemark& remark : log.remarks) {
    const std::string place = remark.column.empty()
                                  ? fmt::format("line {}", remark.line)
                                  : fmt::format("line {}, {}", remark.line, remark.column);
    out << wrap(printable(place + ": " + remark_text(remark)), width, 0);
  }
}

}  // namespace basefog::report
