// SPDX-License-Identifier: GPL-3.0-or-later
// What the columns of a log hold, from the words at their head.
#pragma once

#include <optional>
#include <string>
#include <string_view>
#include <vector>

#include "log/table.hpp"

namespace basefog::log {

/// Cells of kind unknown are kept as notes.
enum class ColumnKind {
  unknown,
#define BASEFOG_COLUMN(kind, name, meaning, heads) kind,
#include "log/columns.inc"
#undef BASEFOG_COLUMN
};

/// Free words, of which a row may hold several cells, joined as text.
inline bool holds_words(ColumnKind kind) {
  return kind == ColumnKind::scene || kind == ColumnKind::note || kind == ColumnKind::unknown;
}

struct Column {
  ColumnKind kind = ColumnKind::unknown;
  bool metered = false;          ///< what the meter asked for, rather than what was used
  bool in_seconds = false;       ///< "shutter (s)"
  bool in_fractions = false;     ///< "shutter (1/s)"
  bool in_degrees = false;       ///< "DIN"
  bool neutral_density = false;  ///< "ND": bare numbers are factors
  std::string header;            ///< as written
};

/// The words for a kind, "metered aperture".
std::string meaning_of(const Column& column);

/// One column by its head alone; unknown where the words are not known.
Column read_column_head(std::string_view head);

/// A whole line of heads, with words that mean two things decided by the others: "time" is the
/// time of day and "speed" the film's where another column holds the shutter; "exposure" is a frame
/// number where shutter or aperture stand apart. A second column of one meaning is unknown.
/// Nothing where the line does not name at least two columns, one of them a setting.
std::optional<std::vector<Column>> read_header(const LogLine& line);

/// What a line above the table says of the whole roll, such as "film: ISO 400".
struct RollFact {
  Column column;
  std::string value;
};
/// Nothing where the line says none.
std::optional<RollFact> read_roll_fact(const LogLine& line);

}  // namespace basefog::log
