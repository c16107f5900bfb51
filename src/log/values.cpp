// SPDX-License-Identifier: GPL-3.0-or-later
// Apertures, film speeds, stops and modes as people write them.
#include "log/values.hpp"

#include <algorithm>
#include <array>
#include <cmath>

#include "core/plain_text.hpp"
#include "log/doubt.hpp"

namespace basefog::log {
namespace {

bool near(double a, double b, double within) { return std::abs(a - b) <= within; }

/// "half", "a third", "two thirds", "one", "1 1/3", "one and a half": an unsigned amount.
std::optional<double> take_words_or_amount(Cursor& cursor) {
  if (const auto amount = cursor.take_amount()) return amount;
  if (cursor.take_word({"two thirds", "two-thirds"})) return 2.0 / 3;
  double whole = 0;
  bool any = false;
  const auto take = [&](std::initializer_list<std::string_view> words, double value) {
    if (!cursor.take_word(words)) return;
    whole += value;
    any = true;
  };
  take({"one third", "one-third", "a third", "1 third", "third"}, 1.0 / 3);
  take({"a quarter", "quarter"}, 0.25);
  take({"half a", "half", "a half"}, 0.5);
  if (!any) {
    take({"one", "a"}, 1);
    take({"two"}, 2);
    take({"three"}, 3);
    take({"four"}, 4);
    if (any && cursor.take_word({"and"})) {
      take({"a half", "half"}, 0.5);
      take({"a third", "one third"}, 1.0 / 3);
      take({"two thirds"}, 2.0 / 3);
    }
  }
  if (!any) return std::nullopt;
  return whole;
}

/// Third stops are written 0.3 and 0.7; the camera means 1/3 and 2/3 (common practice).
double exact_third(double stops) {
  const double third = std::round(stops * 3) / 3;
  return near(stops, third, 0.0401) && !near(stops * 2, std::round(stops * 2), 1e-9) ? third
                                                                                     : stops;
}

/// Sign from words or signs: +1, -1, or 0 where there is none.
int take_sign(Cursor& cursor) {
  if (cursor.take("+/-")) return 0;
  if (cursor.take("+") || cursor.take_word({"plus", "over", "overexposed", "add", "open"}))
    return 1;
  if (cursor.take("-") || cursor.take_word({"minus", "under", "underexposed", "less"})) return -1;
  return 0;
}

void skip_stop_words(Cursor& cursor) {
  cursor.take_word({"stops", "stop", "ev", "steps", "step", "f-stops", "f-stop"});
}

/// Stops as far as the cursor goes; the words "over" and "under" may stand before or behind.
Written<Stops> take_stops(Cursor& cursor) {
  int sign = take_sign(cursor);
  if (sign != 0) cursor.take_word({"by"});
  const std::optional<double> amount = take_words_or_amount(cursor);
  if (!amount) return {std::nullopt, {Doubt::not_stops}};
  skip_stop_words(cursor);
  cursor.take_word({"too"});
  if (sign == 0) sign = take_sign(cursor);
  const double stops = exact_third(*amount);
  if (sign == 0 && stops != 0) return {Stops(stops), {Doubt::no_sign}};
  return {Stops(sign < 0 ? -stops : stops), {}};
}

/// Stops between two marks of one written aperture, at most.
constexpr double kWidestRange = 4;

/// The aperture between two marks.
double halfway(double a, double b) { return std::sqrt(a * b); }

bool is_lost_point(double n) {
  constexpr auto kTenTimes = std::to_array<double>({28, 35, 48, 56, 63, 67, 71, 95});
  return std::ranges::find(kTenTimes, n) != kTenTimes.end();
}

bool takes_f(Cursor& cursor) {
  if (cursor.take("1:")) return true;
  if (!cursor.take("f") && !cursor.take("t")) return false;
  cursor.take("-stop");
  if (!cursor.take("/") && !cursor.take(":") && !cursor.take("=") && !cursor.take("-")) {
    // "f.8" is f/8, not f/0.8, which no camera lens of a log has.
    cursor.take(".");
  }
  return true;
}

/// What stands behind a mark: stops past it, or a second mark.
void read_behind_mark(Cursor& cursor, double& n, Doubts& doubts) {
  const auto past = [&n](double stops) { n *= std::exp2(stops / 2); };
  if (cursor.take(".")) {  // "5.6.3": tenths, as hand-held meters show
    past(cursor.take_number().value_or(0) / 10);
    return;
  }
  const bool plus = cursor.take("+") || cursor.take_word({"and", "plus"});
  if (plus && cursor.done()) {
    doubts.emplace_back(Doubt::off_its_mark);
    return;
  }
  Cursor ahead = cursor;
  const bool minus = !plus && ahead.take("-");
  const bool between = !plus && (minus || ahead.take("/") || ahead.take_word({"to"}));
  if (minus && ahead.done()) {
    cursor = ahead;
    doubts.emplace_back(Doubt::off_its_mark);
    return;
  }
  takes_f(ahead);
  const std::optional<double> second = take_words_or_amount(ahead);
  if (!second) return;
  if (*second < 1 && (!between || minus)) {  // a part of a stop
    past((minus ? -1 : 1) * exact_third(*second));
    skip_stop_words(ahead);
    cursor = ahead;
    return;
  }
  if (!between && !plus) return;
  const double apart = std::abs(2 * std::log2(*second / n));
  // Farther apart it is no aperture: "1/60".
  if (apart > kWidestRange) {
    n = 0;
    return;
  }
  n = halfway(n, *second);
  if (apart > kOneStopOfMarks) doubts.emplace_back(Doubt::wide_range);
  cursor = ahead;
}

}  // namespace

Written<FNumber> parse_aperture(std::string_view text) {
  std::string plain = plain_form(text);
  if (says_nothing(plain)) return {};
  Doubts doubts = take_hedge(plain);
  Cursor cursor(plain);
  if (cursor.take_word({"wide open", "fully open", "open", "max", "maximum"}) && cursor.done()) {
    return {std::nullopt, {Doubt::open_aperture}};
  }
  takes_f(cursor);
  const std::optional<double> mark = cursor.take_number();
  if (!mark) return {std::nullopt, {Doubt::not_an_aperture}};
  double n = *mark;
  if (is_lost_point(n)) {
    n /= 10;
    doubts.push_back({Doubt::lost_point, {FNumber(n)}});
  }
  if (n > 0) read_behind_mark(cursor, n, doubts);
  if (n < 0.5 || n > 181) return {std::nullopt, {Doubt::beyond_any_lens}};
  add(doubts, left_over(cursor));
  return {FNumber(n), doubts};
}

Written<Stops> parse_compensation(std::string_view text) {
  std::string plain = plain_form(text);
  if (says_nothing(plain)) return {};
  Doubts doubts = take_hedge(plain);
  if (plain == "as metered" || plain == "normal" || plain == "zero") return {Stops(0), doubts};
  Cursor cursor(plain);
  // "2x" and "x2" are factors, as the backlight keys of older cameras are marked.
  const bool factor_first = cursor.take("x");
  Cursor ahead = cursor;
  const std::optional<double> factor = ahead.take_amount();
  if (factor && *factor > 0 && (ahead.take("x") || factor_first) && ahead.done()) {
    return {Stops(exact_third(std::log2(*factor))), doubts};
  }
  Written<Stops> stops = take_stops(cursor);
  add(doubts, stops.doubtss);
  if (!stops.value) return {std::nullopt, doubts};
  if (abs(*stops.value) > Stops(10)) return {std::nullopt, {Doubt::beyond_compensation}};
  if (abs(*stops.value) > Stops(5)) doubts.emplace_back(Doubt::unusually_large);
  add(doubts, left_over(cursor));
  return {stops.value, doubts};
}

Written<Stops> parse_push(std::string_view text) {
  std::string plain = plain_form(text);
  if (says_nothing(plain)) return {};
  Doubts doubts = take_hedge(plain);
  if (plain == "n" || plain == "normal" || plain == "as box" || plain == "standard") {
    return {Stops(0), doubts};
  }
  Cursor cursor(plain);
  int sign = 0;
  if (cursor.take_word({"push", "pushed"})) sign = 1;
  if (cursor.take_word({"pull", "pulled"})) sign = -1;
  cursor.take_word({"by", "n"});
  if (sign != 0 && cursor.done()) return {std::nullopt, {Doubt::push_without_stops}};
  Written<Stops> stops = take_stops(cursor);
  if (!stops.value) return {std::nullopt, {Doubt::not_a_push}};
  if (sign != 0) {
    stops.value = abs(*stops.value) * sign;
  } else {
    add(doubts, stops.doubtss);
  }
  if (abs(*stops.value) > Stops(5)) return {std::nullopt, {Doubt::beyond_push}};
  add(doubts, left_over(cursor));
  return {stops.value, doubts};
}

Written<ExposureMode> parse_mode(std::string_view text) {
  std::string plain = plain_form(text);
  if (says_nothing(plain)) return {};
  Doubts doubts = take_hedge(plain);
  std::ranges::replace(plain, '-', ' ');
  if (plain.ends_with('.')) plain.pop_back();
  for (const std::string_view ending : {" mode", " priority", " preferred", " exposure"}) {
    if (plain.ends_with(ending)) plain.resize(plain.size() - ending.size());
  }
  struct Word {
    std::string_view text;
    ExposureMode mode;
  };
  using enum ExposureMode;
  constexpr auto kWords = std::to_array<Word>({{"m", manual},
                                               {"man", manual},
                                               {"manual", manual},
                                               {"b", manual},
                                               {"bulb", manual},
                                               {"t", manual},
                                               {"metered manual", manual},
                                               {"match needle", manual},
                                               {"sunny 16", manual},
                                               {"a", aperture_priority},
                                               {"av", aperture_priority},
                                               {"ap", aperture_priority},
                                               {"ae", aperture_priority},
                                               {"aperture", aperture_priority},
                                               {"aperture value", aperture_priority},
                                               {"a (auto)", aperture_priority},
                                               {"s", shutter_priority},
                                               {"tv", shutter_priority},
                                               {"sp", shutter_priority},
                                               {"shutter", shutter_priority},
                                               {"time", shutter_priority},
                                               {"speed", shutter_priority},
                                               {"time value", shutter_priority},
                                               {"p", program},
                                               {"prog", program},

                                               {"pgm", program},
                                               {"program", program},
                                               {"programme", program},
                                               {"programmed", program},
                                               {"program ae", program},
                                               {"full auto", program},
                                               {"green", program}});
  const auto word = std::ranges::find(kWords, std::string_view(plain), &Word::text);
  if (word != kWords.end()) return {word->mode, doubts};
  if (plain == "auto" || plain == "automatic") {
    return {std::nullopt, {Doubt::unclear_automatic}};
  }
  return {std::nullopt, {Doubt::not_a_mode}};
}

Written<ShotSettings> parse_settings(std::string_view text, BareNumber bare) {
  std::string plain = plain_form(text);
  if (says_nothing(plain)) return {};
  const auto split = [&plain](std::size_t at, std::size_t length) {
    return std::pair{plain.substr(0, at), plain.substr(at + length)};
  };
  std::optional<std::pair<std::string, std::string>> parts;
  for (const std::string_view between : {" at ", "@", ", ", ";", "|", " + "}) {
    if (const auto at = plain.find(between); at != std::string::npos && !parts) {
      parts = split(at, between.size());
    }
  }
  const bool f_first = plain.starts_with("f");
  if (!parts) {
    const auto f = plain.find(" f");
    const auto space = plain.find(' ');
    if (f != std::string::npos && !f_first) parts = split(f, 1);
    if (!parts && space != std::string::npos) parts = split(space, 1);
  }
  if (!parts) return {std::nullopt, {Doubt::not_both_settings}};
  std::string shutter = parts->first;
  std::string aperture = parts->second;
  if (f_first) std::swap(shutter, aperture);
  const Written<ShutterTime> t = parse_shutter(shutter, bare);
  const Written<FNumber> n = parse_aperture(aperture);
  Doubts doubts;
  if (!t.doubts.empty()) {
    doubts.push_back({Doubt::in_shutter_part, {shutter}});
    add(doubts, t.doubts);
  }
  if (!n.doubts.empty()) {
    doubts.push_back({Doubt::in_aperture_part, {aperture}});
    add(doubts, n.doubts);
  }
  if (!t.value && !n.value) return {std::nullopt, doubts};
  return {ShotSettings{t.value, n.value}, doubts};
}

}  // namespace basefog::log
