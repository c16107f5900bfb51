// SPDX-License-Identifier: GPL-3.0-or-later
// What a log leaves in doubt, as data. The words stand in report/log_wording.
#pragma once

#include <cstdint>
#include <string>
#include <variant>
#include <vector>

#include "basefog/core/settings.hpp"

namespace basefog::log {

/// What is doubtful of a value, a line or a column, with what its words need besides the remark's
/// own value and column, in order.
enum class Doubt : std::uint8_t {
  // Any value.
  hedged,        ///< marked by its writer as uncertain
  goes_on,       ///< the words left over
  off_its_mark,  ///< "5.6+": read as the mark
  wide_range,    ///< two marks more than a stop apart: read as halfway
  // Shutter times.
  not_a_time,          ///< not read
  bulb_without_time,   ///< not read
  read_as_fraction,    ///< could be seconds
  read_as_seconds,     ///< could be a fraction
  long_seconds,        ///< "125s"
  fraction_above_one,  ///< "3/2"; read as it stands
  fraction_as_date,    ///< a spreadsheet's work
  flash_speed,         ///< "X", which depends on the camera; not read
  beyond_any_shutter,  ///< outside 1/32000 s to 24 h; not read
  // Apertures.
  not_an_aperture,  ///< not read
  open_aperture,    ///< "wide open": which f-number depends on the lens
  lost_point,       ///< the f-number it was read as
  beyond_any_lens,  ///< outside f/0.5 to f/180; not read
  // Stops.
  not_stops,            ///< not read
  no_sign,              ///< read as plus
  unusually_large,      ///< over 5 stops; read as it stands
  beyond_compensation,  ///< over 10 stops; not read
  push_without_stops,   ///< not read
  not_a_push,           ///< not read
  beyond_push,          ///< over 5 stops; not read
  // Modes, and both settings in one cell.
  unclear_automatic,  ///< "auto", which may be any of three; not read
  not_a_mode,         ///< not read
  not_both_settings,  ///< not read as a pair
  in_shutter_part,    ///< the part; what follows is in doubt of it
  in_aperture_part,   ///< likewise
  // Film speeds.
  not_a_film_speed,  ///< not read
  not_degrees,       ///< over 60; not read
  degrees_disagree,  ///< "400/24"
  read_as_degrees,   ///< the film speed it was read as
  // Filters, focal lengths and dates.
  unclear_filter,      ///< factor, density or stops
  beyond_filters,      ///< over 20 stops in all; not read
  not_a_focal_length,  ///< or outside 4 to 3000 mm; not read
  zoom_not_said,       ///< two lengths, and not the one used; not read
  not_a_date,          ///< left as it is
  day_or_month,        ///< which comes first; left as it is
  // Cells that say what others hold.
  first_row_only,  ///< read for all rows
  nothing_above,   ///< a ditto mark with no value above it
  same_as_above,   ///< what stands above
  // Lines.
  decimal_commas,     ///< the numbers as put together
  too_many_cells,     ///< cells, columns
  not_a_row,          ///< left out
  settings_disagree,  ///< compensation, and used against metered; both counted
  // Columns and labels.
  several_values,  ///< how many
  unknown_column,  ///< or there twice; kept as notes
  label_again,     ///< two rows of one frame
  no_heads,        ///< what the columns were taken for
  // Against the camera's file.
  beyond_shutter,  ///< longer or shorter than the camera's times
  not_on_dial,     ///< a time the camera is not marked with
  beyond_lens,     ///< the lens; nothing where it is not known
};
/// How many doubts there are.
inline constexpr auto kDoubts = static_cast<std::size_t>(Doubt::beyond_lens) + 1;

/// What the words of a doubt need to name.
using DoubtValue = std::variant<std::string, int, ShutterTime, FNumber, FilmSpeed>;

/// One doubt with its values.
struct Doubted {
  /// A doubt and its values, in the order that Doubt's value states.
  Doubted(Doubt what, std::vector<DoubtValue> of = {}) : doubt(what), values(std::move(of)) {}
  friend bool operator==(const Doubted&, const Doubted&) = default;

  Doubt doubt;                     ///< which one
  std::vector<DoubtValue> values;  ///< empty where its words need none
};
/// None means sure.
using Doubts = std::vector<Doubted>;

/// A place in a log that was not, or not surely, understood.
struct LogRemark {
  int line = 0;        ///< in the file, from 1
  std::string column;  ///< header as written; empty where it is about the whole line
  std::string value;   ///< as written
  Doubts doubts;       ///< at least one
  friend bool operator==(const LogRemark&, const LogRemark&) = default;
};

}  // namespace basefog::log
