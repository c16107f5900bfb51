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
  not_a_time,
  bulb_without_time,
  read_as_fraction,  ///< could be seconds
  read_as_seconds,   ///< could be a fraction
  long_seconds,      ///< "125s"
  fraction_above_one,
  fraction_as_date,  ///< a spreadsheet's work
  flash_speed,
  beyond_any_shutter,
  // Apertures.
  not_an_aperture,
  open_aperture,  ///< "wide open": which f-number depends on the lens
  lost_point,     ///< the f-number it was read as
  beyond_any_lens,
  // Stops.
  not_stops,
  no_sign,
  unusually_large,
  beyond_compensation,
  push_without_stops,
  not_a_push,
  beyond_push,
  // Modes, and both settings in one cell.
  unclear_automatic,
  not_a_mode,
  not_both_settings,
  in_shutter_part,   ///< the part; what follows is in doubt of it
  in_aperture_part,  ///< likewise
  // Film speeds.
  not_a_film_speed,
  not_degrees,
  degrees_disagree,  ///< "400/24"
  read_as_degrees,   ///< the film speed it was read as
  // Filters, focal lengths and dates.
  unclear_filter,  ///< factor, density or stops
  beyond_filters,
  not_a_focal_length,
  zoom_not_said,
  not_a_date,
  day_or_month,
  // Cells that say what others hold.
  first_row_only,
  nothing_above,
  same_as_above,  ///< what stands above
  // Lines.
  decimal_commas,  ///< the numbers as put together
  too_many_cells,  ///< cells, columns
  not_a_row,
  settings_disagree,
  // Columns and labels.
  several_values,  ///< how many
  unknown_column,
  label_again,
  no_heads,  ///< what the columns were taken for
  // Against the camera's file.
  beyond_shutter,
  not_on_dial,
  beyond_lens,  ///< the lens; nothing where it is not known
};
inline constexpr auto kDoubts = static_cast<std::size_t>(Doubt::beyond_lens) + 1;

using DoubtValue = std::variant<std::string, int, ShutterTime, FNumber, FilmSpeed>;

/// One doubt with its values.
struct Doubted {
  Doubted(Doubt what, std::vector<DoubtValue> of = {}) : doubt(what), values(std::move(of)) {}
  friend bool operator==(const Doubted&, const Doubted&) = default;

  Doubt doubt;
  std::vector<DoubtValue> values;
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
