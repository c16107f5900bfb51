// SPDX-License-Identifier: GPL-3.0-or-later
#include "basefog/memory/film_use.hpp"

#include <algorithm>
#include <cmath>
#include <vector>

#include "basefog/core/film_facts.hpp"
#include "core/plain_text.hpp"

namespace basefog::memory {
namespace {

/// Letters and numbers apart, other signs as spaces; bytes beyond ASCII are letters.
std::vector<std::string> parts_of(std::string_view text) {
  enum class Kind { none, letters, digits };
  std::vector<std::string> parts;
  Kind last = Kind::none;
  for (const char c : plain_form(text)) {
    const bool letter = is_letter(c) || static_cast<unsigned char>(c) >= 0x80;
    const Kind kind = letter ? Kind::letters : is_digit(c) ? Kind::digits : Kind::none;
    if (kind != Kind::none && kind != last) parts.emplace_back();
    if (kind != Kind::none) parts.back() += c;
    last = kind;
  }
  return parts;
}

struct FilmName {
  std::string letters;
  std::vector<std::string> numbers;  ///< sorted, each once
};

FilmName name_in(std::string_view text) {
  FilmName name;
  for (const std::string& part : parts_of(text)) {
    if (is_digit(part.front())) {
      name.numbers.push_back(part);
    } else if (part != "iso" && part != "asa" && part != "film") {
      name.letters += part;
    }
  }
  std::ranges::sort(name.numbers);
  const auto again = std::ranges::unique(name.numbers);
  name.numbers.erase(again.begin(), again.end());
  return name;
}

/// Takes what the cursor shows of a time or a temperature into the development.
bool take_quantity(Cursor& cursor, Development& development) {
  Cursor ahead = cursor;
  const std::optional<double> number = ahead.take_number();
  if (!number) return false;
  constexpr double kSecondsAMinute = 60;
  constexpr double kShortest = 3;  // minutes; 1:50 and 2:30 are dilutions (judgement)
  if (ahead.take(":")) {
    const std::optional<double> seconds = ahead.take_number();
    if (!seconds || *number < kShortest || *seconds >= kSecondsAMinute) return false;
    development.minutes = *number + *seconds / kSecondsAMinute;
    ahead.take_word({"min", "minutes", "m"});
  } else if (ahead.take_word({"min", "mins", "minutes", "minute", "m"}) || ahead.take("'")) {
    development.minutes = number;
    Cursor after = ahead;
    const std::optional<double> seconds = after.take_number();
    if (seconds && (after.take_word({"s", "sec", "seconds"}) || after.take("\""))) {
      *development.minutes += *seconds / kSecondsAMinute;
      ahead = after;
    }
  } else {
    const bool degrees = ahead.take("\xc2\xb0") || ahead.take_word({"degrees", "deg"});
    if (ahead.take_word({"c", "celsius"})) {
      development.celsius = number;
    } else if (ahead.take_word({"f", "fahrenheit"})) {
      development.celsius = (*number - 32) / 1.8;
    } else if (degrees) {
      development.celsius = number;
    } else {
      return false;
    }
  }
  cursor = ahead;
  return true;
}

bool is_near(const std::optional<double>& a, const std::optional<double>& b, double within) {
  return a.has_value() == b.has_value() && (!a || std::abs(*a - *b) <= within);
}

}  // namespace

Development read_development(std::string_view text) {
  Development development;
  const std::string plain = plain_form(text);
  Cursor cursor(plain);
  std::string words;
  while (!cursor.done()) {
    const bool starts = words.empty() || !is_digit(words.back());
    if (starts && is_digit(cursor.peek()) && take_quantity(cursor, development)) {
      words += ' ';
      continue;
    }
    words += cursor.peek();
    const bool spaced = cursor.rest().size() > 1 && cursor.rest()[1] == ' ';
    cursor.take(cursor.rest().substr(0, 1));
    if (spaced) words += ' ';
  }
  for (const std::string& part : parts_of(words)) {
    development.by_lab |= part == "lab" || part == "laboratory" || part == "labor";
    if (part == "at" || part == "in" || part == "for" || part == "and") continue;
    development.words += (development.words.empty() ? "" : " ") + part;
  }
  return development;
}

bool names_a_film(std::string_view text) { return !name_in(text).letters.empty(); }

std::string with_speed(const std::string& film, FilmSpeed speed) {
  const FilmName name = name_in(film);
  if (name.letters.empty() || !name.numbers.empty()) return film;
  return film + " " + as_marked(speed);
}

bool is_same_film(std::string_view a, std::string_view b) {
  const FilmName one = name_in(a);
  const FilmName other = name_in(b);
  if (one.letters.empty() || other.letters.empty()) return false;
  if (one.numbers != other.numbers) return false;
  // A slip in a long name is a slip; in a short one it may be another film.
  constexpr std::size_t kLetters = 5;
  const std::size_t allowed =
      std::min<std::size_t>(std::min(one.letters.size(), other.letters.size()) / kLetters, 2);
  return edits_between(one.letters, other.letters) <= allowed;
}

Kinship kinship_of(const FilmUse& a, const FilmUse& b) {
  constexpr double kSameTime = 0.03;   // of the time: a quarter of a minute in eight (judgement)
  constexpr double kSameWarmth = 0.5;  // degrees (judgement)
  const Development one = read_development(a.developed);
  const Development other = read_development(b.developed);
  const bool alike = one.words == other.words && is_near(one.celsius, other.celsius, kSameWarmth);
  const bool timed = one.minutes && other.minutes && *one.minutes > 0 && *other.minutes > 0;
  if (!alike || (!timed && (one.minutes || other.minutes))) {
    return {.log_contrast_sigma = film_facts::kDevelopmentSigma};
  }
  const double longer = timed ? std::log(*one.minutes / *other.minutes) : 0;
  const double push = (a.push - b.push).value();
  const double by_push = push * std::log(film_facts::kPushGradientFactor);
  return {
      .same = std::abs(longer) < kSameTime && push == 0,
      .log_contrast = longer * film_facts::kTimeExponent + by_push,
      .log_contrast_sigma = std::hypot(longer * film_facts::kTimeExponentSigma,
                                       by_push != 0 ? push * film_facts::kPushGradientSigma : 0)};
}

}  // namespace basefog::memory
