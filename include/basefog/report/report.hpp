// SPDX-License-Identifier: GPL-3.0-or-later
#pragma once

#include <ostream>

#include "basefog/roll/analysis.hpp"

namespace basefog::report {

/// How frames are listed in a terminal.
enum class TableLayout {
  table,  ///< a line a frame within the terminal's width; as a list below 68 columns
  wide,   ///< a line a frame with all numbers, as wide as it gets
  list,   ///< some lines a frame, at any width
};

/// How tables are set in a terminal.
struct TerminalStyle {
  bool colour = false;                      ///< with escape sequences for colour
  int columns = 100;                        ///< width of the terminal
  TableLayout layout = TableLayout::table;  ///< of the frames
  /// Also what is to be said of each frame, every effect, and how it was measured.
  bool detailed = false;
};

// Pure functions from the Analysis; none reads a file or the clock.

/// The frames in the layout asked for, at most 132 columns wide but for TableLayout::wide, and
/// below them what the roll says and what to do next; 36 frames in 60 lines of 100 columns, the
/// rest where it is asked for (`detailed`).
void write_table(std::ostream& out, const roll::Analysis& analysis,
                 const TerminalStyle& style = {});
/// JSON as src/report/review.schema.json has it. Numbers are rounded to a thousandth of a stop or
/// of a density; an interval with one open end carries null there.
void write_json(std::ostream& out, const roll::Analysis& analysis);
/// A record a frame [RFC4180], a unit in each column head (src/report/csv_columns.cpp); UTF-8,
/// with a byte order mark where text goes beyond ASCII. Text that a spreadsheet would run as a
/// formula begins with an apostrophe.
void write_csv(std::ostream& out, const roll::Analysis& analysis);
/// The pairs of frames and rows as a match file to correct (read_match_file); only its head where
/// there is no log.
void write_match_file(std::ostream& out, const roll::Analysis& analysis);

}  // namespace basefog::report
