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

/// Opens a chart of its own size, with its text alternative (escaped already). One with links in it
/// is a group, so that they are not hidden from those who do not see it; its links are left out of
/// the tab order, since the strip and the table lead to the same frames.
enum class ChartKind { picture, with_links };
inline void open_chart(std::string& out, int width, int height, const std::string& label,
                       ChartKind kind = ChartKind::picture, const char* classes = "chart") {
  put(out,
      "<svg class=\"{0}\" viewBox=\"0 0 {1} {2}\" width=\"{1}\" height=\"{2}\" role=\"{3}\" "
      "aria-label=\"{4}\">",
      classes, width, height, kind == ChartKind::picture ? "img" : "group", label);
}

/// Opens a link in a chart to the frame of that place on the roll, from 1; says is escaped already.
inline void open_frame_link(std::string& out, std::size_t place, const std::string& name,
                            const std::string& says, const std::string& classes = "") {
  put(out,
      "<a href=\"#frame-{}\" class=\"{}\" tabindex=\"-1\" aria-label=\"Frame {}: {}\"><title>Frame "
      "{}: "
      "{}</title>",
      place, classes, name, says, name, says);
}

}  // namespace basefog::report
