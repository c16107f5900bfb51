// SPDX-License-Identifier: GPL-3.0-or-later
// Values of a log as people write them by hand. Each parser takes the text of one cell and returns
// what it means and, where that is not sure, why. No doubt means sure; neither value nor doubt
// means that nothing was written. Parsers never throw, whatever the bytes.
#pragma once

#include <optional>
#include <string>
#include <string_view>
#include <utility>
#include <vector>

#include "basefog/core/settings.hpp"
#include "basefog/log/log.hpp"

namespace basefog::log {

template <class Value>
struct Written {
  std::optional<Value> value;
  Doubts doubts;  ///< none when sure
};

/// True for an empty cell and for what people write to say that there is nothing: "-", "n/a".
bool says_nothing(std::string_view text);

/// What a bare whole number such as 8 means in a shutter column.
enum class BareNumber {
  fraction,             ///< 8 is 1/8 s, as on a shutter dial
  seconds,              ///< 8 is 8 s
  fraction_or_seconds,  ///< 1/8 s, doubtful below 15, since the column is written both ways
  seconds_or_fraction,  ///< 8 s, doubtful
};

/// Decides from a whole shutter column. Numbers that only make sense as fractions (60, 125), or
/// a column of nothing but whole numbers, say that all are; a header that names seconds, or
/// decimals shorter than 1/30 s (0.008), say seconds. Where the column has written-out fractions
/// (1/60) and no bare number from 15 up, a small bare number stands for seconds, doubtfully.
BareNumber bare_number_meaning(const std::vector<std::string>& column, bool header_says_seconds,
                               bool header_says_fraction);

/// Exposure time: "1/60", "1/60s", "60th" and a bare "60" are 1/60 s; a decimal ("0.5", "2,5") and
/// anything with a mark of seconds (s, sec, ") is seconds; minutes as "1m30", "1'30\"", "1:30"; B
/// or bulb before a time makes a bare number seconds. Two marks with a hyphen mean halfway between.
/// A date that a spreadsheet made of a fraction ("Jan-60") is read back, doubtfully. Outside
/// 1/32000 s to 24 h nothing is read.
Written<ShutterTime> parse_shutter(std::string_view text, BareNumber bare = BareNumber::fraction);

/// f-number: "f/5.6", "f5.6", "5,6", "1:2.8". A fraction or tenths after a mark are stops past it
/// ("4 1/2", "f/8+1/3", "5.6 half"), "f/4-5.6" is halfway between. Outside f/0.5 to f/180 nothing
/// is read; a lost decimal point (56 for 5.6) is read as f/5.6, doubtfully.
Written<FNumber> parse_aperture(std::string_view text);

struct WrittenSpeed {
  std::optional<FilmSpeed> film;  ///< the film's own speed, in "400 at 200"
  std::optional<FilmSpeed> ei;    ///< what the meter was set to
  std::optional<Stops> push;      ///< "400 pushed to 1600"
};

/// Film speed or exposure index: "400", "ISO 400/27", "EI 200", "400 ASA", "27 DIN", "24°" [ISO6].
/// "400 at 200", "400@200": the film's own and the dialled speed. In a column of degrees a bare
/// number is degrees; elsewhere a number that is no marked speed but a usual number of degrees
/// (15, 18, 21, 22, 24, 27, 30, 33) is read as degrees, doubtfully. Where "400/24" disagrees with
/// itself the arithmetic speed counts, doubtfully.
Written<WrittenSpeed> parse_speed(std::string_view text, bool column_of_degrees = false);

/// Speed of a film from its name: behind ISO, ASA, EI or DIN, otherwise the first number that is a
/// marked film speed ("Pan 100 at 50"); sizes such as 135 and 120 are none.
Written<WrittenSpeed> speed_of_film(std::string_view name);

/// Stops with a sign: "+1", "-2/3", "+1 1/3", "1 over", "half a stop under", "-0.7" (thirds written
/// as decimals are made exact), "2x" (a factor, +1). Without a sign or word it is read as plus,
/// doubtfully. Beyond 10 stops nothing is read.
Written<Stops> parse_compensation(std::string_view text);

/// Development: as compensation, and "N", "N+1", "push 1", "pulled 2/3", "normal".
Written<Stops> parse_push(std::string_view text);

/// Exposure mode: M, A or Av, S or Tv, P, and their words. "auto" alone is doubtful and not read.
Written<ExposureMode> parse_mode(std::string_view text);

/// Light taken by a filter, in stops >= 0: "ND8" and other factors, "ND 0.9" (density), "2 stops",
/// "x4". A filter named without a number ("yellow") takes what its make says: no value, no doubt.
Written<Stops> parse_filter(std::string_view text);

/// Focal length in mm: "50", "50mm", "50/1.4", "5 cm", "28-80 at 35".
Written<double> parse_focal_length(std::string_view text);

/// Date, and time of day where given, in ISO 8601: "2024-05-12", "12.5.2024", "May 12 2024",
/// "2024:05:12 14:30:00". A date whose day and month can be exchanged is left as written,
/// doubtfully.
Written<std::string> parse_date(std::string_view text);

/// "1/125 f/8", "f8 @ 1/125", "125 at 5.6": both settings in one cell.
Written<ShotSettings> parse_settings(std::string_view text, BareNumber bare = BareNumber::fraction);

}  // namespace basefog::log
