// SPDX-License-Identifier: GPL-3.0-or-later
// Shutter times as people write them.
#include <algorithm>
#include <array>
#include <cmath>

#include "core/plain_text.hpp"
#include "log/doubt.hpp"
#include "log/values.hpp"

namespace basefog::log {
namespace {

/// Seconds: the shortest of any shutter, and a day; beyond is a slip (judgement).
constexpr double kShortest = 1.0 / 32000;
constexpr double kLongest = 24 * 3600;
/// Whole numbers from here up are taken for fractions even among seconds: dials and displays stop
/// at 30 s, and 1/15 s is the slowest mark that people call by its denominator (common practice).
constexpr double kSurelyFraction = 15;

/// One time as read, before its limits are checked.
struct Reading {
  std::optional<double> seconds;
  Doubts doubts;
};

/// What a spreadsheet shows for a fraction that it took for a date: 1/60 as "Jan-60", 1/8 as
/// "8-Jan" or "1-Aug".
std::optional<double> fraction_from_date(std::string_view plain) {
  constexpr auto kMonths = std::to_array<std::string_view>(
      {"jan", "feb", "mar", "apr", "may", "jun", "jul", "aug", "sep", "oct", "nov", "dec"});
  Cursor cursor(plain);
  std::optional<double> number = cursor.take_number();
  cursor.take("-");
  const auto month = std::ranges::find_if(kMonths, [&](auto name) { return cursor.take(name); });
  if (month == kMonths.end()) return std::nullopt;
  cursor.take("-");
  if (!number) number = cursor.take_number();
  if (!number || !cursor.done() || *number < 1) return std::nullopt;
  const double in_year = static_cast<double>(month - kMonths.begin()) + 1;
  if (in_year == 1) return 1 / *number;
  if (*number == 1) return 1 / in_year;
  return std::nullopt;
}

/// Minutes were read; the seconds after them, if any.
double seconds_after_minutes(Cursor& cursor) {
  const double seconds = cursor.take_number().value_or(0);
  if (!cursor.take("\"")) cursor.take_word({"s", "sec", "secs", "seconds"});
  return seconds;
}

/// `"` was read; a digit right after it is a decimal, as a camera's display shows 1.3 s.
double tenths_after_mark(Cursor& cursor) {
  const std::string_view rest = cursor.rest();
  if (rest.empty() || !is_digit(rest.front()) || (rest.size() > 1 && is_digit(rest[1]))) return 0;
  return cursor.take_number().value_or(0) / 10;
}

Reading read_bare_whole(double number, BareNumber bare) {
  const bool either = number > 1 && number < kSurelyFraction;
  switch (bare) {
    case BareNumber::fraction:
      return {1 / number, {}};
    case BareNumber::seconds:
      return {number, {}};
    case BareNumber::fraction_or_seconds:
      return {1 / number, either ? Doubts{Doubt::read_as_fraction} : Doubts{}};
    case BareNumber::seconds_or_fraction:
      return {number, either ? Doubts{Doubt::read_as_seconds} : Doubts{}};
  }
  return {};
}

/// "125s" where 1/125 s is the usual mark.
bool looks_like_fraction(double seconds) {
  return seconds == 125 || seconds == 250 || (seconds >= 500 && std::fmod(seconds, 500) == 0);
}

Reading read_time(Cursor& cursor, BareNumber bare) {
  if (cursor.take_word({"bulb", "b", "t", "time"})) {
    cursor.take(":") || cursor.take("=");
    if (cursor.done()) return {std::nullopt, {Doubt::bulb_without_time}};
    bare = BareNumber::seconds;
  }
  const std::string_view written = cursor.rest();
  const std::optional<double> number = cursor.take_amount();
  if (!number || (*number <= 0 && cursor.peek() != '"')) {
    return {std::nullopt, {Doubt::not_a_time}};
  }
  const std::string_view digits = written.substr(0, written.size() - cursor.rest().size());
  const bool fraction = digits.find('/') != std::string_view::npos;
  if (cursor.take_word({"m", "min", "mins", "minute", "minutes"}) || cursor.take("'")) {
    return {*number * 60 + seconds_after_minutes(cursor), {}};
  }
  if (cursor.take(":")) return {*number * 60 + seconds_after_minutes(cursor), {}};
  if (cursor.take_word({"h", "hr", "hour", "hours"})) return {*number * 3600, {}};
  if (cursor.take("\"")) return {*number + tenths_after_mark(cursor), {}};
  if (cursor.take_word({"s", "sec", "secs", "second", "seconds"})) {
    if (!fraction && looks_like_fraction(*number)) {
      return {*number, {Doubt::long_seconds}};
    }
    return {*number, {}};
  }
  const bool ordinal = cursor.take_word({"th", "ths", "x", "of a second"});
  if (fraction) {
    if (*number > 1) return {*number, {Doubt::fraction_above_one}};
    return {*number, {}};
  }
  if (ordinal) return {1 / *number, {}};
  if (digits.find_first_of(".,") < digits.size() && std::floor(*number) != *number) {
    return {*number, {}};
  }
  return read_bare_whole(*number, bare);
}

/// Halfway between two marks, in stops.
Reading read_range(Cursor& cursor, BareNumber bare) {
  Reading first = read_time(cursor, bare);
  if (!first.seconds || cursor.done()) return first;
  if (cursor.take("+") || (cursor.rest() == "-" && cursor.take("-"))) {
    if (cursor.done()) first.doubtss = {Doubt::off_its_mark};
    return first;
  }
  Cursor ahead = cursor;
  if (!ahead.take("-") && !ahead.take_word({"to"})) return first;
  // "1/60-125": both are fractions.
  const Reading second = read_time(ahead, *first.seconds < 1 ? BareNumber::fraction : bare);
  if (!second.seconds) return first;
  cursor = ahead;
  std::string doubt = first.doubts;
  if (second.doubts != first.doubts) add(doubts, second.doubtss);
  const double apart = std::abs(std::log2(*first.seconds / *second.seconds));
  if (apart > kOneStopOfMarks) doubts.emplace_back(Doubt::wide_range);
  return {std::sqrt(*first.seconds * *second.seconds), doubts};
}

}  // namespace

BareNumber bare_number_meaning(const std::vector<std::string>& column, bool header_says_seconds,
                               bool header_says_fraction) {
  bool fractions_written = false;
  bool short_decimals = false;
  bool large_whole = false;
  for (const std::string& cell : column) {
    const std::string plain = plain_form(cell);
    fractions_written |= plain.starts_with("1/");
    Cursor cursor(plain);
    const std::optional<double> number = cursor.take_number();
    if (!number || !cursor.done()) continue;
    short_decimals |= *number > 0 && *number < 1.0 / 30;
    large_whole |= *number >= kSurelyFraction && std::floor(*number) == *number;
  }
  if (header_says_fraction) return BareNumber::fraction;
  if (short_decimals) return BareNumber::seconds;
  if (header_says_seconds) {
    // Nobody exposes for 125 s by the dial: such numbers are denominators under a careless header.
    bool dial = false;
    for (const std::string& cell : column) {
      Cursor cursor(cell);
      const std::optional<double> number = cursor.take_number();
      dial |= number && cursor.done() && looks_like_fraction(*number);
    }
    return dial ? BareNumber::fraction_or_seconds : BareNumber::seconds;
  }
  if (!fractions_written) return BareNumber::fraction;
  return large_whole ? BareNumber::fraction_or_seconds : BareNumber::seconds_or_fraction;
}

Written<ShutterTime> parse_shutter(std::string_view text, BareNumber bare) {
  std::string plain = plain_form(text);
  if (says_nothing(plain)) return {};
  Doubts doubts = take_hedge(plain);
  if (const auto seconds = fraction_from_date(plain)) {
    return {ShutterTime(*seconds), {Doubt::fraction_as_date}};
  }
  if (plain == "x") return {std::nullopt, {Doubt::flash_speed}};
  Cursor cursor(plain);
  const Reading reading = read_range(cursor, bare);
  add(doubts, reading.doubtss);
  if (!reading.seconds) return {std::nullopt, doubts};
  if (*reading.seconds < kShortest || *reading.seconds > kLongest) {
    return {std::nullopt, {Doubt::beyond_any_shutter}};
  }
  add(doubts, left_over(cursor));
  return {ShutterTime(*reading.seconds), doubts};
}

}  // namespace basefog::log
