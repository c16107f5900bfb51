// SPDX-License-Identifier: GPL-3.0-or-later
#include "report/markup.hpp"

#include <algorithm>
#include <array>
#include <vector>

namespace basefog::report {
namespace {

constexpr char32_t kReplacement = 0xFFFD;

/// Code points of UTF-8 [RFC3629]; each byte that is part of none gives U+FFFD.
std::vector<char32_t> decode(std::string_view text) {
  std::vector<char32_t> points;
  points.reserve(text.size());
  for (std::size_t i = 0; i < text.size();) {
    const auto lead = static_cast<unsigned char>(text[i]);
    const std::size_t length = lead < 0x80             ? 1
                               : (lead & 0xE0) == 0xC0 ? 2
                               : (lead & 0xF0) == 0xE0 ? 3
                               : (lead & 0xF8) == 0xF0 ? 4
                                                       : 0;
    char32_t point = length == 1 ? lead : lead & (0x7Fu >> length);
    bool valid = length > 0 && i + length <= text.size();
    for (std::size_t k = 1; valid && k < length; ++k) {
      const auto next = static_cast<unsigned char>(text[i + k]);
      valid = (next & 0xC0) == 0x80;
      point = (point << 6) | (next & 0x3Fu);
    }
    // Overlong forms, surrogates and what is beyond Unicode are no UTF-8.
    constexpr std::array<char32_t, 5> kLeast{0, 0, 0x80, 0x800, 0x10000};
    valid =
        valid && point >= kLeast[length] && point <= 0x10FFFF && (point < 0xD800 || point > 0xDFFF);
    points.push_back(valid ? point : kReplacement);
    i += valid ? length : 1;
  }
  return points;
}

void append(std::string& out, char32_t point) {
  const auto byte = [&out](char32_t value) { out.push_back(static_cast<char>(value)); };
  if (point < 0x80) {
    byte(point);
  } else if (point < 0x800) {
    byte(0xC0 | (point >> 6));
    byte(0x80 | (point & 0x3F));
  } else if (point < 0x10000) {
    byte(0xE0 | (point >> 12));
    byte(0x80 | ((point >> 6) & 0x3F));
    byte(0x80 | (point & 0x3F));
  } else {
    byte(0xF0 | (point >> 18));
    byte(0x80 | ((point >> 12) & 0x3F));
    byte(0x80 | ((point >> 6) & 0x3F));
    byte(0x80 | (point & 0x3F));
  }
}

/// Control characters, and those that turn the direction of writing, with which a file name could
/// show itself as another.
bool is_harmful(char32_t p) {
  return p < 0x20 || (p >= 0x7F && p < 0xA0) || p == 0x061C || p == 0x200E || p == 0x200F ||
         (p >= 0x2028 && p <= 0x202E) || (p >= 0x2066 && p <= 0x2069) || p == 0xFEFF ||
         (p & 0xFFFE) == 0xFFFE;
}

struct Range {
  char32_t first, last;
};

/// The main blocks of combining marks and joiners (Unicode general categories Mn and Me, Cf).
constexpr std::array kNoWidth{Range{0x0300, 0x036F}, Range{0x0483, 0x0489}, Range{0x0591, 0x05BD},
                              Range{0x064B, 0x065F}, Range{0x0E34, 0x0E3A}, Range{0x0E47, 0x0E4E},
                              Range{0x1AB0, 0x1AFF}, Range{0x1DC0, 0x1DFF}, Range{0x200B, 0x200D},
                              Range{0x20D0, 0x20FF}, Range{0xFE00, 0xFE0F}, Range{0xFE20, 0xFE2F}};
/// The main blocks of East Asian Width W and F (Unicode Standard Annex 11).
constexpr std::array kWide{
    Range{0x1100, 0x115F},   Range{0x2E80, 0x303E},   Range{0x3041, 0xA4CF},
    Range{0xA960, 0xA97F},   Range{0xAC00, 0xD7A3},   Range{0xF900, 0xFAFF},
    Range{0xFE30, 0xFE6F},   Range{0xFF01, 0xFF60},   Range{0xFFE0, 0xFFE6},
    Range{0x1F300, 0x1F64F}, Range{0x1F680, 0x1F6FF}, Range{0x1F900, 0x1FAFF},
    Range{0x20000, 0x3FFFD}};

template <std::size_t N>
bool within(const std::array<Range, N>& ranges, char32_t point) {
  return std::any_of(ranges.begin(), ranges.end(),
                     [point](Range r) { return point >= r.first && point <= r.last; });
}

int width_of(char32_t point) {
  if (point < 0x300) return 1;
  return within(kNoWidth, point) ? 0 : within(kWide, point) ? 2 : 1;
}

std::vector<char32_t> printable_points(std::string_view text) {
  std::vector<char32_t> points = decode(text);
  for (char32_t& point : points) {
    if (point == '\n' || point == '\r' || point == '\t') {
      point = ' ';
    } else if (is_harmful(point)) {
      point = kReplacement;
    }
  }
  return points;
}

int total_width(const std::vector<char32_t>& points) {
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
  const std::vector<char32_t> points = printable_points(text);
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
  const std::vector<char32_t> points = printable_points(text);
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
    const std::size_t end = std::min(text.find(' ', begin), text.size());
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
