// SPDX-License-Identifier: GPL-3.0-or-later
#include "basefog/layout_hint.hpp"

#include <algorithm>
#include <array>
#include <charconv>
#include <utility>

#include "basefog/error.hpp"
#include "basefog/film_format.hpp"

namespace basefog {
namespace {

constexpr int kMostFrames = 60;
constexpr int kMostStrips = 40;

[[noreturn]] void refuse(std::string_view word, const std::string& next_step) {
  throw InputError(ErrorCode::usage, "--layout", "does not know '" + std::string(word) + "'",
                   next_step);
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
      hint.frames = number(word, value, kMostFrames);
    } else if (name == "strips") {
      hint.strips = number(word, value, kMostStrips);
    } else if (name == "order") {
      hint.order = heading(word, value);
    } else if (name == "next-strip") {
      hint.strip_order = heading(word, value);
    } else {
      refuse(word, "say frames=, strips=, order= or next-strip=");
    }
  } else if (word == "single") {
    hint.content = ScanContent::single;
  } else if (word == "strip") {
    hint.content = ScanContent::strip;
  } else if (word == "sheet") {
    hint.content = ScanContent::sheet;
  } else if (!formats_named(word).empty()) {
    hint.format = formats_named(word).front().name;
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
    refuse("frames", "a single frame is one; say strip");
  }
  if (hint.content && *hint.content != ScanContent::sheet && hint.strips.value_or(1) != 1) {
    refuse("strips", "several strips are a sheet; say sheet");
  }
  return hint;
}

}  // namespace basefog
