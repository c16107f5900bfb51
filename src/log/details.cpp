// SPDX-License-Identifier: GPL-3.0-or-later
// Film speeds, filters, focal lengths and dates as people write them.
#include <algorithm>
#include <array>
#include <chrono>
#include <cmath>
#include <cstdio>

#include "core/plain_text.hpp"
#include "log/doubt.hpp"
#include "log/values.hpp"

namespace basefog::log {
namespace {

/// The marked arithmetic speed for whole degrees, 21 -> 100 [FilmSpeedTable]; the exact one
/// between.
FilmSpeed marked_speed(double degrees) {
  constexpr auto kSteps = std::to_array<double>({1, 1.25, 1.6, 2, 2.5, 3.2, 4, 5, 6.4, 8});
  const double whole = std::round(degrees);
  if (whole < 1 || std::abs(whole - degrees) > 0.01) return FilmSpeed::from_degrees(degrees);
  const auto step = static_cast<std::size_t>(whole - 1);
  const std::size_t decade = step / 10;
  return FilmSpeed(kSteps.at(step % 10) * std::pow(10.0, static_cast<double>(decade)));
}

/// One film speed; where the number is degrees, and whether that was said.
Written<FilmSpeed> take_speed(Cursor& cursor, bool degrees) {
  while (cursor.take_word({"iso", "asa", "ei", "e.i", "film", "speed", "rated", "at"})) {
  }
  degrees |= cursor.take_word({"din"});
  cursor.take(":") || cursor.take("=");
  const std::optional<double> number = cursor.take_number(GroupOfThree::thousands);
  if (!number) return {std::nullopt, {Doubt::not_a_film_speed}};
  const auto take_degree_mark = [&] {
    return cursor.take("\u00b0") || cursor.take_word({"din", "deg", "degrees"});
  };
  cursor.take_word({"asa", "iso"});
  Doubts doubts;
  FilmSpeed speed(*number);
  if (degrees || take_degree_mark()) {
    take_degree_mark();
    if (*number > 60) return {std::nullopt, {Doubt::not_degrees}};
    return {marked_speed(*number), {}};
  }
  if (cursor.take("/")) {
    const std::optional<double> stated = cursor.take_number();
    take_degree_mark();
    if (!stated || std::abs(speed.degrees() - *stated) > 0.5) {
      doubts = {Doubt::degrees_disagree};
    }
  } else {
    constexpr auto kUsualDegrees = std::to_array<double>({15, 18, 21, 22, 24, 27, 30, 33});
    if (std::ranges::find(kUsualDegrees, *number) != kUsualDegrees.end()) {
      speed = marked_speed(*number);
      doubts = {Doubted(Doubt::read_as_degrees, {speed})};
    }
  }
  if (speed.iso() < 0.5 || speed.iso() > 204800) return {std::nullopt, {Doubt::not_a_film_speed}};
  return {speed, doubts};
}

/// "400 pushed to 1600": what joins the two speeds, and whether the lab was asked to follow.
enum class Joint { none, rated, developed };

Joint take_joint(Cursor& cursor) {
  cursor.take(",");
  if (cursor.take_word({"pushed to", "pulled to", "push to", "pull to", "developed as"})) {
    return Joint::developed;
  }
  if (cursor.take("@") || cursor.take("->") || cursor.take(">") || cursor.take("\u2192") ||
      cursor.take_word({"at", "rated at", "shot at", "exposed at", "as", "ei", "rated"})) {
    return Joint::rated;
  }
  return Joint::none;
}

std::optional<Stops> take_filter_part(Cursor& cursor, Doubts& doubts) {
  if (cursor.take_word({"nd"})) {
    cursor.take("-") || cursor.take("x");
    const std::string_view before = cursor.rest();
    const std::optional<double> number = cursor.take_number();
    if (!number) return std::nullopt;
    const bool decimals =
        before.substr(0, before.size() - cursor.rest().size()).find_first_of(".,") !=
        std::string_view::npos;
    if (cursor.take_word({"stops", "stop"})) return Stops(*number);
    if (decimals) return *number <= 6 ? std::optional(Stops::from_log10(*number)) : std::nullopt;
    const bool factor = *number >= 100 || *number == 2 || *number == 4 || *number == 8 ||
                        *number == 16 || *number == 32 || *number == 64;
    if (factor) return Stops::from_ratio(*number);
    doubts.emplace_back(Doubt::unclear_filter);
    return std::nullopt;
  }
  Cursor ahead = cursor;
  const bool factor = ahead.take("x") || ahead.take_word({"factor", "factor of"});
  const bool sign = !factor && (ahead.take("-") || ahead.take("+"));
  const std::optional<double> number = ahead.take_amount();
  if (!number) return std::nullopt;
  const bool stops = ahead.take_word({"stops", "stop", "ev", "-stops", "-stop"});
  if (!stops && !factor && !sign && !ahead.take("x")) return std::nullopt;
  cursor = ahead;
  if (stops || sign) return Stops(std::abs(*number));
  if (*number < 1) return std::nullopt;
  return Stops::from_ratio(*number);
}

std::string two_digits(int value) {
  std::array<char, 8> text{};
  std::snprintf(text.data(), text.size(), "%02d", value % 100);
  return text.data();
}

struct DateParts {
  int year = 0;
  int month = 0;
  int day = 0;  ///< 0: only the month is known
};

/// Whether the day exists.
bool exists(const DateParts& d) {
  using namespace std::chrono;
  if (d.year < 1826 || d.year > 2200 || d.month < 1 || d.month > 12) return false;
  const year_month_day date{year(d.year), month(static_cast<unsigned>(d.month)),
                            day(static_cast<unsigned>(std::max(d.day, 1)))};
  return date.ok();
}

int month_of(Cursor& cursor) {
  constexpr auto kMonths =
      std::to_array<std::array<std::string_view, 3>>({{"january", "jan", "jan"},
                                                      {"february", "feb", "febr"},
                                                      {"march", "mar", "mar"},
                                                      {"april", "apr", "apr"},
                                                      {"may", "may", "may"},
                                                      {"june", "jun", "jun"},
                                                      {"july", "jul", "jul"},
                                                      {"august", "aug", "aug"},
                                                      {"september", "sep", "sept"},
                                                      {"october", "oct", "oct"},
                                                      {"november", "nov", "nov"},
                                                      {"december", "dec", "dec"}});
  for (std::size_t i = 0; i < kMonths.size(); ++i) {
    if (cursor.take_word({kMonths[i][0], kMonths[i][1], kMonths[i][2]})) {
      return static_cast<int>(i) + 1;
    }
  }
  return 0;
}

/// Digits only, at most 4 of them.
std::optional<int> take_whole(Cursor& cursor) {
  std::string_view rest = cursor.rest();
  std::size_t n = 0;
  int value = 0;
  while (n < rest.size() && is_digit(rest[n]) && n < 5) value = value * 10 + (rest[n++] - '0');
  if (n == 0 || n > 4) return std::nullopt;
  cursor.take(rest.substr(0, n));
  return value;
}

int full_year(int year) { return year >= 100 ? year : year < 70 ? 2000 + year : 1900 + year; }

/// Date as far as it is one; `ambiguous` where day and month can be exchanged.
std::optional<DateParts> take_date(Cursor& cursor, bool& ambiguous) {
  const auto take_point = [&] {
    for (const std::string_view point : {"-", "/", ".", ":", ","}) {
      if (cursor.take(point)) return point.front();
    }
    return '\0';
  };
  if (const int month = month_of(cursor)) {  // "May 12 2024", "May 2024"
    const std::optional<int> first = take_whole(cursor);
    cursor.take_word({"st", "nd", "rd", "th"});
    take_point();
    const std::optional<int> second = take_whole(cursor);
    if (!first) return std::nullopt;
    if (second) return DateParts{full_year(*second), month, *first};
    if (*first < 100) return std::nullopt;
    return DateParts{*first, month, 0};
  }
  const std::optional<int> a = take_whole(cursor);
  if (!a) return std::nullopt;
  cursor.take_word({"st", "nd", "rd", "th"});
  const char point = take_point();
  if (const int month = month_of(cursor)) {  // "12 May 2024"
    take_point();
    const std::optional<int> year = take_whole(cursor);
    if (!year) return std::nullopt;
    return DateParts{full_year(*year), month, *a};
  }
  const std::optional<int> b = take_whole(cursor);
  if (!b || point == '\0') return std::nullopt;
  take_point();
  const std::optional<int> c = take_whole(cursor);
  if (*a > 99) return DateParts{*a, *b, c.value_or(0)};
  if (!c) return std::nullopt;
  if (*b > 12) return DateParts{full_year(*c), *a, *b};  // month first can only be meant
  ambiguous = point != '.' && *a <= 12 && *a != *b;
  return DateParts{full_year(*c), *b, *a};
}

/// "T14:30", or empty.
std::string take_time_of_day(Cursor& cursor) {
  Cursor ahead = cursor;
  ahead.take("t");
  std::optional<int> hour = take_whole(ahead);
  if (!hour || !(ahead.take(":") || ahead.take("."))) return "";
  const std::optional<int> minute = take_whole(ahead);
  if (!minute || *minute > 59) return "";
  std::string text;
  if (ahead.take(":")) {
    const std::optional<int> second = take_whole(ahead);
    if (!second || *second > 60) return "";
    text = ":" + two_digits(*second);
  }
  if (ahead.take_word({"pm", "p.m"}) && *hour < 12) *hour += 12;
  if (ahead.take_word({"am", "a.m"}) && *hour == 12) *hour = 0;
  if (*hour > 23) return "";
  cursor = ahead;
  return "T" + two_digits(*hour) + ":" + two_digits(*minute) + text;
}

}  // namespace

Written<WrittenSpeed> parse_speed(std::string_view text, bool column_of_degrees) {
  std::string plain = plain_form(text);
  if (says_nothing(plain)) return {};
  Doubts doubts = take_hedge(plain);
  Cursor cursor(plain);
  const Written<FilmSpeed> first = take_speed(cursor, column_of_degrees);
  add(doubts, first.doubts);
  if (!first.value) return {std::nullopt, doubts};
  WrittenSpeed speed{std::nullopt, first.value, std::nullopt};
  if (const Joint joint = take_joint(cursor); joint != Joint::none) {
    const Written<FilmSpeed> second = take_speed(cursor, column_of_degrees);
    add(doubts, second.doubts);
    if (second.value) {
      speed.film = first.value;
      speed.ei = second.value;
      if (joint == Joint::developed) {
        speed.push = Stops(exact(*second.value).speed_value() - exact(*first.value).speed_value());
      }
    }
  }
  add(doubts, left_over(cursor));
  return {speed, doubts};
}

Written<WrittenSpeed> speed_of_film(std::string_view name) {
  constexpr auto kMarked =
      std::to_array<double>({12,  16,  20,  25,  32,  40,  50,   64,   80,   100,  125,  160, 200,
                             250, 320, 400, 500, 640, 800, 1000, 1250, 1600, 2000, 3200, 6400});
  const std::string plain = plain_form(name);
  for (const std::string_view word : {"iso", "asa", "din", "ei"}) {
    const std::size_t at = plain.find(word);
    const bool alone = at != std::string::npos && (at == 0 || !is_letter(plain[at - 1])) &&
                       (at + word.size() >= plain.size() || !is_letter(plain[at + word.size()]));
    if (!alone) continue;
    if (at > 0 && word != "din" && word != "asa") return parse_speed(plain.substr(at));
    Written<WrittenSpeed> whole = parse_speed(at == 0 ? plain : plain.substr(at));
    if (whole.value) return whole;
  }
  for (std::size_t i = 0; i < plain.size(); ++i) {
    if (!is_digit(plain[i]) || (i > 0 && (is_digit(plain[i - 1]) || plain[i - 1] == '.'))) continue;
    Cursor cursor(std::string_view(plain).substr(i));
    const std::optional<double> number = cursor.take_number();
    if (!number || std::ranges::find(kMarked, *number) == kMarked.end()) continue;
    return parse_speed(plain.substr(i));
  }
  return {};
}

Written<Stops> parse_filter(std::string_view text) {
  std::string plain = plain_form(text);
  if (says_nothing(plain)) return {};
  Doubts doubts = take_hedge(plain);
  std::optional<Stops> total;
  std::optional<Stops> before;
  Cursor cursor(plain);
  while (!cursor.done()) {
    const bool amount_alone = is_digit(cursor.peek()) || cursor.peek() == '-';
    if (const auto part = take_filter_part(cursor, doubts)) {
      // "ND8, 3 stops": one filter's amount in two ways.
      const bool again = before && amount_alone && abs(*part - *before) <= Stops(0.1);
      before = part;
      if (again) continue;
      total = total.value_or(Stops(0)) + *part;
      continue;
    }
    // Skip a word that carries no amount.
    const std::size_t next = cursor.rest().find_first_of(" (,;", 1);
    if (next == std::string_view::npos) break;
    cursor = Cursor(cursor.rest().substr(next));
    while (cursor.take("(") || cursor.take(",") || cursor.take(";")) {
    }
  }
  if (total && *total > Stops(20)) return {std::nullopt, {Doubt::beyond_filters}};
  return {total, doubts};
}

Written<double> parse_focal_length(std::string_view text) {
  std::string plain = plain_form(text);
  if (says_nothing(plain)) return {};
  Doubts doubts = take_hedge(plain);
  Cursor cursor(plain);
  if (cursor.take("f=") || cursor.take("f =")) {
  }
  std::optional<double> length = cursor.take_number();
  if (!length) return {std::nullopt, {Doubt::not_a_focal_length}};
  const bool centimetres = cursor.take_word({"cm"});
  if (centimetres) *length *= 10;
  if (!centimetres) cursor.take_word({"mm"});
  if (cursor.take("-")) {  // a zoom's range says nothing; where it was set stands behind
    cursor.take_number();
    cursor.take_word({"mm"});
    length.reset();
    if (cursor.take("@") || cursor.take_word({"at"})) {
      length = cursor.take_number();
      cursor.take_word({"mm"});
    }
    if (!length) return {std::nullopt, {Doubt::zoom_not_said}};
  }
  if (cursor.take("/")) {  // "50/1.4", or "1.4/50"
    cursor.take("f");
    length = std::max(*length, cursor.take_number().value_or(0));
    cursor.take_word({"mm"});
  } else if (*length > 0 && (cursor.take("f/") || cursor.take("f") || cursor.take("1:"))) {
    cursor.take_number();
  }
  if (*length < 4 || *length > 3000) return {std::nullopt, {Doubt::not_a_focal_length}};
  add(doubts, left_over(cursor));
  return {length, doubts};
}

Written<std::string> parse_date(std::string_view text) {
  std::string plain = plain_form(text);
  if (says_nothing(plain)) return {};
  Doubts doubts = take_hedge(plain);
  Cursor cursor(plain);
  bool ambiguous = false;
  const std::optional<DateParts> date = take_date(cursor, ambiguous);
  if (!date || !exists(*date)) return {std::string(trimmed(text)), {Doubt::not_a_date}};
  if (ambiguous) {
    return {std::string(trimmed(text)), {Doubt::day_or_month}};
  }
  std::string iso = std::to_string(date->year) + "-" + two_digits(date->month);
  if (date->day > 0) iso += "-" + two_digits(date->day);
  if (date->day > 0) iso += take_time_of_day(cursor);
  add(doubts, left_over(cursor));
  return {iso, doubts};
}

}  // namespace basefog::log
