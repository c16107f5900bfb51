// SPDX-License-Identifier: GPL-3.0-or-later
#include "basefog/area/layout_hint.hpp"

#include <algorithm>
#include <array>
#include <charconv>
#include <utility>

#include "basefog/area/film_format.hpp"
#include "basefog/core/error.hpp"

namespace basefog::area {
namespace {

/// More frames a strip, or strips a scan, than any holder takes: a slip of the hand (judgement).
constexpr int kMostFrames = 60;
constexpr int kMostStrips = 40;

[[noreturn]] void refuse(std::string_view word, const std::string& next_step) {
  throw InputError(ErrorCode::usage, "--layout", "does not know '" + std::string(word) + "'",
                   next_step);
}

[[noreturn]] void contradict(const std::string& problem, const std::string& next_step) {
  throw InputError(ErrorCode::usage, "--layout", problem, next_step);
}

/// Sets what no earlier word has set otherwise.
template <class Value>
void set_once(std::optional<Value>& place, const Value& value, std::string_view word) {
  if (place && *place != value) {
    contradict("says two things, the second '" + std::string(word) + "'", "leave one of them out");
  }
  place = value;
}

int number(std::string_view word, std::string_view digits, int most) {
  int value = 0;
  const char* end = digits.data() + digits.size();
  const auto [at, error] = std::from_chars(digits.data(), end, value);
  if (error != std::errc() || at != end || value < 1 || value > most) {
    refuse(word, "give a number from 1 to " + std::to_string(most));
  }
  return value;
}

Heading heading(std::string_view word, std::string_view name) {
  constexpr std::array<std::pair<std::string_view, Heading>, 4> kNames = {
      {{"right", Heading::right},
       {"left", Heading::left},
       {"down", Heading::down},
       {"up", Heading::up}}};
  for (const auto& [known, value] : kNames) {
    if (name == known) return value;
  }
  refuse(word, "say right, left, down or up");
}

std::string known_formats() {
  std::string out;
  for (const FilmFormat& format : film_formats()) {
    if (out.find(format.name) == std::string::npos)
      out.append(out.empty() ? "" : ", ").append(format.name);
  }
  return out;
}

void take(LayoutHint& hint, std::string_view word) {
  const std::size_t equals = word.find('=');
  if (equals != std::string_view::npos) {
    const std::string_view name = word.substr(0, equals);
    const std::string_view value = word.substr(equals + 1);
    if (name == "frames") {
      set_once(hint.frames, number(word, value, kMostFrames), word);
    } else if (name == "strips") {
      set_once(hint.strips, number(word, value, kMostStrips), word);
    } else if (name == "order") {
      set_once(hint.order, heading(word, value), word);
    } else if (name == "next-strip") {
      set_once(hint.strip_order, heading(word, value), word);
    } else {
      refuse(word, "say frames=, strips=, order= or next-strip=");
    }
  } else if (word == "single") {
    set_once(hint.content, ScanContent::single, word);
  } else if (word == "strip") {
    set_once(hint.content, ScanContent::strip, word);
  } else if (word == "sheet") {
    set_once(hint.content, ScanContent::sheet, word);
  } else if (!formats_named(word).empty()) {
    std::optional<std::string> format;
    if (!hint.format.empty()) format = hint.format;
    set_once(format, std::string(formats_named(word).front().name), word);
    hint.format = *format;
  } else {
    refuse(word, "say single, strip or sheet, or one of the formats " + known_formats());
  }
}

}  // namespace

LayoutHint parse_layout(std::string_view text) {
  LayoutHint hint;
  std::size_t from = 0;
  while (from <= text.size()) {
    const std::size_t to = std::min(text.find(',', from), text.size());
    take(hint, text.substr(from, to - from));
    from = to + 1;
  }
  if (hint.content == ScanContent::single && hint.frames.value_or(1) != 1) {
    contradict("cannot be a single frame of " + std::to_string(*hint.frames) + " frames",
               "say strip, or leave frames= out");
  }
  if (hint.content && *hint.content != ScanContent::sheet && hint.strips.value_or(1) != 1) {
    contradict("says several strips of what is no sheet", "say sheet, or leave strips= out");
  }
  return hint;
}

}  // namespace basefog::area
