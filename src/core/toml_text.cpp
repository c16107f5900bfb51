// SPDX-License-Identifier: GPL-3.0-or-later
#include "core/toml_text.hpp"

#include <algorithm>

#include "basefog/core/error.hpp"

namespace basefog {
namespace {

/// Dots on a line but for those of numbers. toml++ 3.3 nests values 256 deep at most, but names at
/// will, and destroys tables by recursion: 20,000 levels are well, 40,000 overflow the stack.
constexpr int kMostDots = 50;

/// True for the point of a number that stands by itself, "0.10".
bool is_decimal_point(std::string_view line, std::size_t dot) {
  constexpr std::string_view digits = "0123456789_";
  constexpr std::string_view spaces = " \t";
  const std::string_view left = line.substr(0, dot);
  const std::string_view right = line.substr(dot + 1);
  const std::size_t before = left.find_last_not_of(digits) + 1;
  const std::size_t after = std::min(right.find_first_not_of(digits), right.size());
  if (before == left.size() || after == 0) return false;
  const std::size_t next = right.find_first_not_of(spaces, after);
  const std::size_t last = before == 0 ? left.npos : left.find_last_not_of(spaces, before - 1);
  return (next == right.npos || right[next] != '.') && (last == left.npos || left[last] != '.');
}

/// Those beside each other, as in a row of them, count once.
bool has_too_many_dots(std::string_view line) {
  int dots = 0;
  for (std::size_t at = line.find('.'); at != line.npos; at = line.find('.', at + 1)) {
    const bool in_row = at > 0 && line[at - 1] == '.';
    if (!in_row && !is_decimal_point(line, at) && ++dots > kMostDots) return true;
  }
  return false;
}

void refuse_deep_names(std::string_view text, const std::filesystem::path& path,
                       const std::string& next_step) {
  for (int line = 1; !text.empty(); ++line) {
    const std::size_t length = std::min(text.find('\n'), text.size());
    if (has_too_many_dots(text.substr(0, length)))
      throw InputError(ErrorCode::malformed, path,
                       "has more than " + std::to_string(kMostDots) + " dots on line " +
                           std::to_string(line) + ", deeper than any of its names",
                       next_step);
    text.remove_prefix(std::min(length + 1, text.size()));
  }
}

}  // namespace

toml::table parse_toml(std::string_view text, const std::filesystem::path& path,
                       const std::string& next_step) {
  refuse_deep_names(text, path, next_step);
  try {
    return toml::parse(text);
  } catch (const toml::parse_error& error) {
    throw InputError(ErrorCode::malformed, path,
                     "is not TOML: line " + std::to_string(error.source().begin.line) + ", " +
                         std::string(error.description()),
                     next_step);
  }
}

}  // namespace basefog
