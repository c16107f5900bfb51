// SPDX-License-Identifier: GPL-3.0-or-later
#pragma once

#include <fmt/format.h>

#include <algorithm>
#include <iterator>
#include <string>

namespace basefog::report {

/// Maps a range of values onto pixels; values outside are drawn at its ends.
struct Axis {
  double low;    ///< value
  double high;   ///< value
  double start;  ///< pixel of low
  double end;    ///< pixel of high

  double at(double value) const {
    return start + (std::clamp(value, low, high) - low) / (high - low) * (end - start);
  }
};

/// Appends formatted markup. Numbers and fixed text only: other text goes through escape_markup.
template <class... Arguments>
void put(std::string& out, fmt::format_string<Arguments...> format, Arguments&&... arguments) {
  fmt::format_to(std::back_inserter(out), format, std::forward<Arguments>(arguments)...);
}

/// Opens a box that scrolls sideways where the page is narrower than what it holds.
inline void open_scroll_box(std::string& out, const std::string& label) {
  put(out, "<div class=\"scroll\" tabindex=\"0\" role=\"group\" aria-label=\"{}\">", label);
}

/// Opens a chart of its own size, with its text alternative (escaped already). Where the page is
/// narrower, the box around it scrolls.
inline void open_chart(std::string& out, int width, int height, const std::string& label,
                       const char* classes = "chart") {
  put(out,
      "<svg class=\"{0}\" viewBox=\"0 0 {1} {2}\" width=\"{1}\" height=\"{2}\" role=\"img\" "
      "aria-label=\"{3}\">",
      classes, width, height, label);
}

}  // namespace basefog::report
