// SPDX-License-Identifier: GPL-3.0-or-later
#include "report/markup.hpp"

#include <utf8proc.h>

#include <algorithm>
#include <array>
#include <map>

namespace basefog::report {
namespace {

constexpr char32_t kReplacement = 0xFFFD;

/// Code points of UTF-8 [RFC3629]; each byte that is part of none gives U+FFFD.
std::u32string decode(std::string_view text) {
  std::u32string points;
  points.reserve(text.size());
  while (!text.empty()) {
    utf8proc_int32_t point = 0;
    const utf8proc_ssize_t length =
        utf8proc_iterate(reinterpret_cast<const utf8proc_uint8_t*>(text.data()),
                         static_cast<utf8proc_ssize_t>(text.size()), &point);
    points.push_back(length > 0 ? static_cast<char32_t>(point) : kReplacement);
    text.remove_prefix(length > 0 ? static_cast<std::size_t>(length) : 1);
  }
  return points;
}

void append(std::string& out, char32_t point) {
  std::array<utf8proc_uint8_t, 4> bytes{};
  const utf8proc_ssize_t length =
      utf8proc_encode_char(static_cast<utf8proc_int32_t>(point), bytes.data());
  out.append(bytes.begin(), bytes.begin() + length);
}

/// Control characters, and those that turn the direction of writing, with which a file name could
/// show itself as another.
bool is_harmful(char32_t p) {
  return p < 0x20 || (p >= 0x7F && p < 0xA0) || p == 0x061C || p == 0x200E || p == 0x200F ||
         (p >= 0x2028 && p <= 0x202E) || (p >= 0x2066 && p <= 0x2069) || p == 0xFEFF ||
         (p & 0xFFFE) == 0xFFFE;
}

int width_of(char32_t point) { return utf8proc_charwidth(static_cast<utf8proc_int32_t>(point)); }

std::u32string printable_points(std::string_view text) {
  std::u32string points = decode(text);
  for (char32_t& point : points) {
    if (point == '\n' || point == '\r' || point == '\t') {
      point = ' ';
    } else if (is_harmful(point)) {
      point = kReplacement;
    }
  }
  return points;
}

int total_width(const std::u32string& points) {
  int width = 0;
  for (char32_t point : points) width += width_of(point);
  return width;
}

constexpr char32_t kEllipsis = 0x2026;

}  // namespace

std::string printable(std::string_view text) {
  std::string out;
  out.reserve(text.size());
  for (char32_t point : printable_points(text)) append(out, point);
  return out;
}

std::string escape_markup(std::string_view text) {
  std::string out;
  out.reserve(text.size() + text.size() / 8);
  for (char c : printable(text)) {
    switch (c) {
      case '&':
        out += "&amp;";
        break;
      case '<':
        out += "&lt;";
        break;
      case '>':
        out += "&gt;";
        break;
      case '"':
        out += "&quot;";
        break;
      case '\'':
        out += "&#39;";
        break;
      default:
        out += c;
    }
  }
  return out;
}

std::string typeset(std::string_view text) {
  std::string out;
  for (std::size_t i = 0; i < text.size(); ++i) {
    const bool begins = i == 0 || text[i - 1] == ' ' || text[i - 1] == '(';
    const bool digit = i + 1 < text.size() && text[i + 1] >= '0' && text[i + 1] <= '9';
    if (text[i] == '-' && begins && digit) {
      append(out, 0x2212);
    } else {
      out += text[i];
    }
  }
  return out;
}

std::string csv_text(std::string_view text) {
  std::string field;
  for (char32_t point : decode(text)) {
    const bool line_or_tab = point == '\n' || point == '\r' || point == '\t';
    append(field, is_harmful(point) && !line_or_tab ? kReplacement : point);
  }
  if (!field.empty() && std::string_view("=+-@\t\r\n").find(field.front()) != std::string::npos) {
    field.insert(field.begin(), '\'');
  }
  if (field.find_first_of("\",\r\n\t;") == std::string::npos) return field;
  std::string quoted = "\"";
  for (char c : field) {
    if (c == '"') quoted += '"';
    quoted += c;
  }
  return quoted + '"';
}

int display_width(std::string_view text) { return total_width(decode(text)); }

std::string fit(std::string_view text, int width) {
  if (width <= 0) return "";
  const std::u32string points = printable_points(text);
  const bool cut = total_width(points) > width;
  std::string out;
  int used = 0;
  for (char32_t point : points) {
    if (cut && used + width_of(point) > width - 1) break;
    append(out, point);
    used += width_of(point);
  }
  if (cut) {
    append(out, kEllipsis);
    ++used;
  }
  return out + std::string(static_cast<std::size_t>(std::max(0, width - used)), ' ');
}

std::string cut_middle(std::string_view text, int width) {
  const std::u32string points = printable_points(text);
  if (total_width(points) <= width) return printable(text);
  std::size_t head = 0;
  std::size_t tail = points.size();
  int used = 1;  // the ellipsis
  // Grow from both ends, the end first: it carries the frame's number.
  for (bool at_end = true; head < tail; at_end = !at_end) {
    const int next = width_of(at_end ? points[tail - 1] : points[head]);
    if (used + next > width) break;
    used += next;
    at_end ? --tail : ++head;
  }
  std::string out;
  for (std::size_t i = 0; i < head; ++i) append(out, points[i]);
  append(out, kEllipsis);
  for (std::size_t i = tail; i < points.size(); ++i) append(out, points[i]);
  return out;
}

std::vector<std::string> short_names(const std::vector<std::string>& names, int width) {
  std::vector<std::string> shown;
  std::map<std::string, int> uses;
  for (const std::string& name : names) ++uses[shown.emplace_back(cut_middle(name, width))];
  for (std::size_t i = 0; i < names.size(); ++i) {
    if (uses[shown[i]] == 1 || shown[i] == printable(names[i])) continue;
    const std::string number = "#" + std::to_string(i + 1);
    shown[i] = cut_middle(names[i], std::max(1, width - display_width(number))) + number;
  }
  return shown;
}

std::string wrap(std::string_view text, int width, int indent) {
  const std::string margin(static_cast<std::size_t>(indent), ' ');
  std::string out;
  std::string line;
  const auto flush = [&] {
    if (!line.empty()) out += margin + line + '\n';
    line.clear();
  };
  std::size_t begin = 0;
  while (begin < text.size()) {
    const std::size_t end = std::min(text.find_first_of(" \n", begin), text.size());
    const std::string_view word = text.substr(begin, end - begin);
    begin = end + 1;
    if (word.empty()) continue;
    const int needed = display_width(line) + (line.empty() ? 0 : 1) + display_width(word);
    if (needed > width - indent) flush();
    if (!line.empty()) line += ' ';
    line += word;
  }
  flush();
  return out;
}

}  // namespace basefog::report
