// SPDX-License-Identifier: GPL-3.0-or-later
#include "log/frames.hpp"

#include <algorithm>
#include <array>
#include <charconv>
#include <optional>

#include "core/plain_text.hpp"

namespace basefog::log {
namespace {

/// Frames that one row may stand for.
constexpr int kMostFramesOfRow = 100;

/// A whole number and nothing else, at most four digits.
std::optional<int> whole(std::string_view text) {
  int value = 0;
  const auto result = std::from_chars(text.data(), text.data() + text.size(), value);
  if (text.empty() || text.size() > 4 || result.ptr != text.data() + text.size() || value < 0) {
    return std::nullopt;
  }
  return value;
}

/// "#07", "no. 7", "frame 7" -> the label alone.
std::string_view bare_label(std::string_view text) {
  text = trimmed(text);
  const std::string plain = plain_form(text);
  for (const std::string_view prefix : {"frame ", "no. ", "no.", "nr. ", "nr.", "exp. ", "#"}) {
    if (plain.starts_with(prefix) && plain.size() > prefix.size()) {
      return trimmed(text.substr(prefix.size()));
    }
  }
  return text;
}

std::vector<std::string> split_at(std::string_view text, std::string_view separators) {
  std::vector<std::string> parts;
  std::size_t start = 0;
  for (std::size_t i = 0; i <= text.size(); ++i) {
    if (i < text.size() && separators.find(text[i]) == std::string_view::npos) continue;
    parts.emplace_back(trimmed(text.substr(start, i - start)));
    start = i + 1;
  }
  return parts;
}

/// "12-14" -> 12, 13, 14; otherwise nothing.
std::vector<std::string> range_in(std::string_view text) {
  std::string plain = plain_form(text);
  if (const auto at = plain.find(" to "); at != std::string::npos) plain.replace(at, 4, "-");
  const std::vector<std::string> ends = split_at(plain, "-");
  if (ends.size() != 2) return {};
  const std::optional<int> first = whole(ends[0]);
  const std::optional<int> last = whole(ends[1]);
  if (!first || !last || std::abs(*last - *first) >= kMostFramesOfRow) return {};
  std::vector<std::string> frames;
  const int step = *last < *first ? -1 : 1;
  for (int n = *first; n != *last + step; n += step) frames.push_back(std::to_string(n));
  return frames;
}

bool is_label(std::string_view text) {
  return !text.empty() && is_digit(text.front()) && text.size() <= 4;
}

}  // namespace

std::vector<std::string> frames_in(std::string_view text) {
  const std::string label(bare_label(text));
  if (auto range = range_in(label); !range.empty()) return range;
  std::string list = label;
  if (const auto at = list.find(" and "); at != std::string::npos) list.replace(at, 5, ",");
  std::vector<std::string> parts = split_at(list, ",;&+");
  if (parts.size() > 1 && parts.size() <= kMostFramesOfRow &&
      std::ranges::all_of(parts, [](auto& p) { return is_label(p); })) {
    return parts;
  }
  return {label};
}

bool labels_carry_roll(const std::vector<std::string>& column) {
  std::optional<std::string> roll;
  int labels = 0;
  for (const std::string& cell : column) {
    if (cell.empty()) continue;
    const auto at = cell.find_last_of("-/");
    if (at == std::string::npos || at == 0) return false;
    const std::string prefix = cell.substr(0, at);
    if (roll && *roll != prefix) return false;
    roll = prefix;
    ++labels;
  }
  return labels >= 2;
}

std::string without_roll(std::string_view label) {
  const auto at = label.find_last_of("-/");
  return std::string(trimmed(at == std::string_view::npos ? label : label.substr(at + 1)));
}

bool says_no_picture(std::string_view words) {
  const std::string plain = plain_form(words);
  constexpr auto kWhole = std::to_array<std::string_view>(
      {"blank", "lead-in", "lead in", "leader", "cap on", "no picture", "no photo", "not taken",
       "wasted", "empty", "unexposed", "not exposed", "advance", "advanced", "wound on", "misfire",
       "nothing", "void"});
  if (std::ranges::find(kWhole, plain) != kWhole.end()) return true;
  return std::ranges::any_of(
      std::to_array<std::string_view>({"lens cap", "cap left on", "blank frame", "no picture",
                                       "lead-in", "not exposed", "blank shot", "left blank"}),
      [&](std::string_view part) { return plain.find(part) != std::string::npos; });
}

bool says_flash(std::string_view words) {
  const std::string plain = plain_form(words);
  const auto contains = [&](std::string_view part) {
    return plain.find(part) != std::string::npos;
  };
  if (contains("no flash") || contains("without flash") || contains("flash off") ||
      contains("flash: no") || contains("flash: off")) {
    return false;
  }
  for (const std::string_view no : {"flash: n", "flash: 0", "flash: false"}) {
    if (plain.ends_with(no)) return false;
  }
  return contains("flash") || contains("strobe");
}

bool is_ditto(std::string_view text, bool hyphen_repeats) {
  constexpr auto kMarks = std::to_array<std::string_view>(
      {"\"", "\"\"", "'", "ditto", "do.", "do", "same", "same again", "as above", "same as above",
       "idem", "id.", "\u2193", "|", "=", "-\"-", "\" \""});
  const std::string plain = plain_form(text);
  if (hyphen_repeats && plain == "-") return true;
  return std::ranges::find(kMarks, plain) != kMarks.end();
}

}  // namespace basefog::log
