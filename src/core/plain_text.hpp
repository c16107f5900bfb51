// SPDX-License-Identifier: GPL-3.0-or-later
// Handwriting brought into one form, and a cursor to read it with.
#pragma once

#include <cctype>
#include <cstddef>
#include <initializer_list>
#include <optional>
#include <string>
#include <string_view>

namespace basefog {

/// The text in one form: lower case ASCII, one kind of quote, minus and slash, vulgar fractions as
/// " 1/2", single spaces, none at the ends. Bytes that are not UTF-8 stay as they are.
std::string plain_form(std::string_view text);

/// Without spaces, tabs and no-break spaces at the ends.
std::string_view trimmed(std::string_view text);

/// With its ASCII letters in lower case or in upper case.
std::string lower_case(std::string text);
std::string upper_case(std::string text);

/// How many single letters must be left out, added, changed or swapped with their neighbour to make
/// b of a, where no letter is touched twice [Damerau1964]. Takes |a| |b| steps.
std::size_t edits_between(std::string_view a, std::string_view b);

inline bool is_digit(char c) { return c >= '0' && c <= '9'; }
inline bool is_letter(char c) { return (c >= 'a' && c <= 'z') || (c >= 'A' && c <= 'Z'); }

/// What a comma or point before exactly three digits means.
enum class GroupOfThree { decimals, thousands };

/// Reads a plain-form text from left to right. Every take_ either consumes what it names, and the
/// spaces after it, or leaves the cursor where it was.
class Cursor {
 public:
  explicit Cursor(std::string_view text) : rest_(text) { skip_spaces(); }

  bool done() const { return rest_.empty(); }
  std::string_view rest() const { return rest_; }
  char peek() const { return rest_.empty() ? '\0' : rest_.front(); }

  /// A sign or a piece of a word, wherever it ends.
  bool take(std::string_view piece);
  /// A whole word: not followed by a letter.
  bool take_word(std::initializer_list<std::string_view> words);
  /// Unsigned decimal number with point or comma; at most 15 digits.
  std::optional<double> take_number(GroupOfThree group = GroupOfThree::decimals);
  /// A number, a fraction a/b, or a whole number and a fraction ("1 1/3"). A denominator of 0 is
  /// not taken.
  std::optional<double> take_amount();

 private:
  void skip_spaces();
  std::string_view rest_;
};

}  // namespace basefog
