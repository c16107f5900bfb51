// SPDX-License-Identifier: GPL-3.0-or-later
#include "core/plain_text.hpp"

#include <algorithm>
#include <array>
#include <charconv>
#include <vector>

namespace basefog {
namespace {

struct Replacement {
  std::string_view from;
  std::string_view to;
};

constexpr auto kReplacements = std::to_array<Replacement>({
    {"\u00a0", " "},    {"\u2009", " "},    {"\u202f", " "},      {"\u200b", ""},
    {"\ufeff", ""},     {"\u2212", "-"},    {"\u2013", "-"},      {"\u2014", "-"},
    {"\u2010", "-"},    {"\u2011", "-"},    {"\u00b1", "+/-"},    {"\u00d7", "x"},
    {"\u0192", "f"},    {"\u2044", "/"},    {"\u2215", "/"},      {"\\", "/"},
    {"\u00bd", " 1/2"}, {"\u00bc", " 1/4"}, {"\u00be", " 3/4"},   {"\u2153", " 1/3"},
    {"\u2154", " 2/3"}, {"\u215b", " 1/8"}, {"\u215c", " 3/8"},   {"\u00ba", "\u00b0"},
    {"\u201c", "\""},   {"\u201d", "\""},   {"\u201e", "\""},     {"\u2033", "\""},
    {"\u3003", "\""},   {"''", "\""},       {"\u2018", "'"},      {"\u2019", "'"},
    {"\u2032", "'"},    {"\u00b4", "'"},    {"\u02da", "\u00b0"},
});

}  // namespace

std::string_view trimmed(std::string_view text) {
  const auto blank = [](char c) { return c == ' ' || c == '\t' || c == '\r' || c == '\n'; };
  for (;;) {
    if (!text.empty() && blank(text.front())) {
      text.remove_prefix(1);
    } else if (!text.empty() && blank(text.back())) {
      text.remove_suffix(1);
    } else if (text.starts_with("\u00a0")) {
      text.remove_prefix(2);
    } else if (text.ends_with("\u00a0")) {
      text.remove_suffix(2);
    } else {
      return text;
    }
  }
}

std::string lower_case(std::string text) {
  for (char& c : text) {
    if (c >= 'A' && c <= 'Z') c = static_cast<char>(c - 'A' + 'a');
  }
  return text;
}

std::string upper_case(std::string text) {
  for (char& c : text) {
    if (c >= 'a' && c <= 'z') c = static_cast<char>(c - 'a' + 'A');
  }
  return text;
}

std::string plain_form(std::string_view text) {
  std::string plain;
  plain.reserve(text.size());
  while (!text.empty()) {
    const char first = text.front();
    // Only these can begin a replacement.
    if (first == '\'' || first == '\\' || static_cast<unsigned char>(first) >= 0x80) {
      const auto found = std::ranges::find_if(
          kReplacements, [&](const Replacement& r) { return text.starts_with(r.from); });
      if (found != kReplacements.end()) {
        plain += found->to;
        text.remove_prefix(found->from.size());
        continue;
      }
    }
    const bool space = first == ' ' || first == '\t' || first == '\r' || first == '\n';
    plain += space ? ' ' : first >= 'A' && first <= 'Z' ? static_cast<char>(first + 32) : first;
    text.remove_prefix(1);
  }
  const auto doubled = [](char a, char b) { return a == ' ' && b == ' '; };
  plain.erase(std::unique(plain.begin(), plain.end(), doubled), plain.end());
  return std::string(trimmed(plain));
}

void Cursor::skip_spaces() {
  while (!rest_.empty() && rest_.front() == ' ') rest_.remove_prefix(1);
}

bool Cursor::take(std::string_view piece) {
  if (!rest_.starts_with(piece)) return false;
  rest_.remove_prefix(piece.size());
  skip_spaces();
  return true;
}

bool Cursor::take_word(std::initializer_list<std::string_view> words) {
  for (const std::string_view word : words) {
    if (!rest_.starts_with(word)) continue;
    if (rest_.size() > word.size() && is_letter(rest_[word.size()])) continue;
    rest_.remove_prefix(word.size());
    if (rest_.starts_with(".")) rest_.remove_prefix(1);  // an abbreviation's point
    skip_spaces();
    return true;
  }
  return false;
}

std::optional<double> Cursor::take_number(GroupOfThree group) {
  constexpr std::size_t kMostDigits = 15;  // that a double keeps
  std::string digits;
  std::size_t at = 0;
  const auto more_digits = [&] {
    while (at < rest_.size() && is_digit(rest_[at])) digits += rest_[at++];
  };
  more_digits();
  const bool whole = at > 0;
  const auto is_point = [&](std::size_t i) {
    return i + 1 < rest_.size() && (rest_[i] == '.' || rest_[i] == ',') && is_digit(rest_[i + 1]);
  };
  if (is_point(at)) {
    std::size_t decimals = 0;
    while (at + 1 + decimals < rest_.size() && is_digit(rest_[at + 1 + decimals])) ++decimals;
    const bool thousands = group == GroupOfThree::thousands && whole && digits.front() != '0' &&
                           digits.size() <= 3 && decimals == 3;
    if (!thousands) digits += '.';
    ++at;
    more_digits();
  }
  if (digits.empty() || digits.size() > kMostDigits) return std::nullopt;
  // A point that ends a number is a slip; one before a digit begins something else ("5.6.3").
  if (at < rest_.size() && rest_[at] == '.' && !is_point(at)) ++at;
  double value = 0;
  const auto result = std::from_chars(digits.data(), digits.data() + digits.size(), value);
  if (result.ec != std::errc{}) return std::nullopt;
  rest_.remove_prefix(at);
  skip_spaces();
  return value;
}

std::optional<double> Cursor::take_amount() {
  const std::string_view before = rest_;
  std::optional<double> first = take_number();
  if (!first) return std::nullopt;
  const auto take_over = [&](double numerator) -> std::optional<double> {
    const std::string_view here = rest_;
    if (take("/")) {
      const std::optional<double> denominator = take_number(GroupOfThree::thousands);
      if (denominator && *denominator > 0) return numerator / *denominator;
    }
    rest_ = here;
    return std::nullopt;
  };
  if (peek() == '/') {
    if (const auto fraction = take_over(*first)) return fraction;
    rest_ = before;
    return std::nullopt;
  }
  const std::string_view whole = rest_;
  const std::optional<double> numerator = take_number();
  if (numerator) {
    const std::optional<double> fraction = take_over(*numerator);
    if (fraction && *fraction < 1) return *first + *fraction;
  }
  rest_ = whole;
  return first;
}

std::size_t edits_between(std::string_view a, std::string_view b) {
  std::vector<std::vector<std::size_t>> edits(a.size() + 1, std::vector<std::size_t>(b.size() + 1));
  for (std::size_t i = 0; i <= a.size(); ++i) edits[i][0] = i;
  for (std::size_t j = 0; j <= b.size(); ++j) edits[0][j] = j;
  for (std::size_t i = 1; i <= a.size(); ++i) {
    for (std::size_t j = 1; j <= b.size(); ++j) {
      const std::size_t changed = edits[i - 1][j - 1] + (a[i - 1] == b[j - 1] ? 0 : 1);
      edits[i][j] = std::min({edits[i - 1][j] + 1, edits[i][j - 1] + 1, changed});
      if (i > 1 && j > 1 && a[i - 1] == b[j - 2] && a[i - 2] == b[j - 1]) {
        edits[i][j] = std::min(edits[i][j], edits[i - 2][j - 2] + 1);
      }
    }
  }
  return edits[a.size()][b.size()];
}

}  // namespace basefog
