// SPDX-License-Identifier: GPL-3.0-or-later
#pragma once

#include <string>
#include <string_view>
#include <vector>

// Everything that makes text of unknown origin (file names, notes, scene words) safe to print, in
// one place: no writer puts such text out without one of these.
namespace basefog::report {

/// Valid UTF-8 on one line: bytes that are no UTF-8 become U+FFFD, line ends and tabs a space,
/// control characters and those that turn the direction of writing U+FFFD.
std::string printable(std::string_view text);

/// printable() text for HTML and SVG, as content or within double quotes.
std::string escape_markup(std::string_view text);

/// Our own sentences and numbers with a true minus sign in front of digits, for HTML and SVG.
std::string typeset(std::string_view text);

/// A CSV field [RFC4180]: quoted where needed. Text that a spreadsheet would take for a formula
/// (it begins with = + - @ or a tab) gets an apostrophe in front. Bytes that are no UTF-8 become
/// U+FFFD; line ends are kept, within quotes.
std::string csv_text(std::string_view text);

/// Places in a terminal: combining characters take none, East Asian wide ones two. text: printable.
int display_width(std::string_view text);

/// printable() text of exactly `width` places: padded with spaces, or cut with an ellipsis.
/// Empty for width <= 0.
std::string fit(std::string_view text, int width);

/// Like fit() without padding, cut in the middle, so that both ends of a file name stay readable.
std::string cut_middle(std::string_view text, int width);

/// cut_middle() of each name; those that would then look alike end in their number:
/// "roll\u2026#12".
std::vector<std::string> short_names(const std::vector<std::string>& names, int width);

/// Lines of at most `width` places, broken at spaces; a longer word is a line of its own. text:
/// printable, but for line ends, which count as spaces. Every line begins with `indent` spaces.
std::string wrap(std::string_view text, int width, int indent);

}  // namespace basefog::report
