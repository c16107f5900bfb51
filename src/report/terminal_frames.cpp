// SPDX-License-Identifier: GPL-3.0-or-later
#include "report/terminal_frames.hpp"

#include <algorithm>
#include <functional>
#include <string>
#include <vector>

#include "report/markup.hpp"
#include "report/ruler.hpp"
#include "report/wording.hpp"

namespace basefog::report {
namespace {

/// Width of the columns that never change; the rest goes to frame names and scene words.
constexpr int kNeededWidth = 27;  // "well exposed (-0.3 to +0.4)"
constexpr int kSurenessWidth = 6;
constexpr int kExposureWidth = 19;  // "-0.6 (-0.9 to -0.3)"
constexpr int kAskedWidth = 5;
/// The ruler's numbers are signed, so that its first mark stands one place in.
constexpr int kRulerWidth = 1 + kRulerPlaces;
/// Below this not even a line without a ruler fits.
constexpr int kLeastForTable = 68;
constexpr int kBelowName = 3;

struct Columns {
  int name = 8;
  int asked = 0;  ///< 0: no column, as without a log
  bool ruler = true;
  int scene = 0;  ///< 0: no column
};

Columns columns_for(const roll::Analysis& analysis, const std::vector<std::string>& names,
                    int width) {
  int longest = 5;  // "frame"
  for (const std::string& name : names) {
    longest = std::max(longest, display_width(printable(name)));
  }
  Columns columns;
  columns.asked = analysis.log ? kAskedWidth + 1 : 0;
  columns.ruler = width >= kLeastWithRuler;
  const int fixed = kNeededWidth + 1 + kSurenessWidth + 1 + kExposureWidth + 1 + columns.asked +
                    (columns.ruler ? kRulerWidth : 0);
  columns.name = std::min(longest, width - fixed - 1);
  const int left = width - fixed - columns.name - 1;
  // Two spaces before the scene, and no column for less than a word.
  if (analysis.log && left >= 8) columns.scene = left - 2;
  return columns;
}

const char* verdict_ink(const Ink& ink, const roll::FrameResult& frame) {
  const Outcome outcome = outcome_of(frame);
  return outcome == Outcome::under ? ink.under : outcome == Outcome::over ? ink.over : "";
}

std::string ruler_text(const roll::FrameResult& frame, const Ink& ink) {
  if (!frame.reading || !is_known(frame.reading->exposure.estimate)) return "";
  std::string text;
  const reading::FrameReading& reading = *frame.reading;
  std::optional<ExposureFromAim> needed;
  if (is_known(reading.correction.estimate)) {
    needed = reading.exposure.estimate.value + reading.correction.estimate.value;
  }
  for (RulerMark mark : ruler(reading.exposure.estimate, needed)) {
    const bool background = mark == RulerMark::stop || mark == RulerMark::zero;
    if (background) text += ink.faint;
    // The verdict is of what was needed, so its colour is that mark's.
    if (mark == RulerMark::needed) text += verdict_ink(ink, frame);
    text += glyph(mark);
    if (background || mark == RulerMark::needed) text += ink.end;
  }
  return text;
}

/// The value under the sign of its neighbours: "0.0" has none.
std::string aligned(const std::string& number) {
  return number.starts_with('0') ? " " + number : number;
}

/// What the picture needed, its range in a lighter face, and how sure that is.
std::string needed_cells(const roll::FrameResult& frame, const Ink& ink) {
  const PictureWords words = picture_words(frame);
  const std::string range = words.range.empty() ? "" : " (" + words.range + ")";
  const int width = kNeededWidth - display_width(words.needed);
  return verdict_ink(ink, frame) + (ink.bold + words.needed) + ink.end + ink.faint +
         fit(range, width) + ink.end + " " + fit(words.sureness, kSurenessWidth);
}

std::string row_text(const roll::Analysis& analysis, const roll::FrameResult& frame,
                     const std::string& name, const Columns& columns, const Ink& ink) {
  std::string text = fit(name, columns.name) + " ";
  const log::LogRow* row = row_of(analysis, frame);
  if (frame.reading) {
    text += needed_cells(frame, ink) + " ";
    text += fit(aligned(estimate_text(frame.reading->exposure.estimate)), kExposureWidth);
  } else {
    constexpr int kAll = kNeededWidth + 1 + kSurenessWidth + 1 + kExposureWidth;
    text += ink.faint + fit(picture_text(frame), kAll) + ink.end;
  }
  text += ' ';
  text += fit(frame.expected ? aligned(signed_stops(*frame.expected)) : "", columns.asked);
  if (columns.ruler) {
    const std::string drawn = ruler_text(frame, ink);
    text += " " + (drawn.empty() ? std::string(kRulerPlaces, ' ') : drawn);
  }
  if (columns.scene > 0 && row != nullptr) text += "  " + fit(row->scene, columns.scene);
  text.erase(text.find_last_not_of(' ') + 1);
  return text;
}

void write_lines(std::ostream& out, const roll::Analysis& analysis, int width, const Ink& ink) {
  const std::vector<std::string> names = frame_names(analysis);
  const Columns columns = columns_for(analysis, names, width);
  out << ink.faint << fit("frame", columns.name) << ' '
      << fit("the picture needed", kNeededWidth + 1 + kSurenessWidth) << ' '
      << fit("the film got", kExposureWidth) << ' ' << fit("asked", columns.asked)
      << (columns.ruler ? ruler_head() : "") << (columns.scene > 0 ? "  scene" : "") << ink.end
      << '\n';
  const std::vector<std::string> shown = short_names(names, columns.name);
  for (std::size_t i = 0; i < analysis.frames.size(); ++i) {
    out << row_text(analysis, analysis.frames[i], shown[i], columns, ink) << '\n';
  }
}

/// One column of the wide table.
struct WideColumn {
  std::string head;
  std::vector<std::string> cells;  ///< one a frame
};

WideColumn estimates(const roll::Analysis& analysis, const char* head,
                     std::optional<StopsEstimate> (*of)(const roll::FrameResult&)) {
  WideColumn column{head, {}};
  for (const roll::FrameResult& frame : analysis.frames) {
    const std::optional<StopsEstimate> estimate = of(frame);
    column.cells.push_back(estimate && is_known(*estimate) ? aligned(estimate_text(*estimate))
                                                           : "");
  }
  return column;
}

WideColumn words(const roll::Analysis& analysis, const char* head,
                 const std::function<std::string(const roll::FrameResult&)>& of) {
  WideColumn column{head, {}};
  for (const roll::FrameResult& frame : analysis.frames)
    column.cells.push_back(printable(of(frame)));
  return column;
}

std::string flags_text(const roll::FrameResult& frame) {
  std::string text;
  for (Flag flag : frame.flags.list()) {
    text += (text.empty() ? "" : "; ") + std::string(text_of(flag).short_text);
  }
  return text;
}

std::vector<WideColumn> wide_columns(const roll::Analysis& analysis) {
  std::vector<WideColumn> columns{{"frame", frame_names(analysis)}};
  for (std::string& name : columns[0].cells) name = printable(name);
  columns.push_back(words(analysis, "the picture needed", picture_text));
  columns.push_back(estimates(analysis, "the film got", [](const roll::FrameResult& frame) {
    return frame.reading ? std::optional(in_stops(frame.reading->exposure.estimate)) : std::nullopt;
  }));
  columns.push_back(words(analysis, "asked", [](const roll::FrameResult& frame) {
    return frame.expected ? aligned(signed_stops(*frame.expected)) : "";
  }));
  columns.push_back(estimates(analysis, "deviation",
                              [](const roll::FrameResult& frame) { return frame.deviation; }));
  columns.push_back(estimates(analysis, "shadow reserve", [](const roll::FrameResult& frame) {
    return frame.reading ? std::optional(in_stops(frame.reading->shadow_reserve.estimate))
                         : std::nullopt;
  }));
  columns.push_back(estimates(analysis, "highlight room", [](const roll::FrameResult& frame) {
    return frame.reading ? std::optional(in_stops(frame.reading->highlight_room.estimate))
                         : std::nullopt;
  }));
  columns.push_back(words(analysis, "technique", [](const roll::FrameResult& frame) {
    return frame.technique ? aligned(signed_stops(*frame.technique)) : "";
  }));
  columns.push_back(words(analysis, "set to", [&analysis](const roll::FrameResult& frame) {
    const log::LogRow* row = row_of(analysis, frame);
    return row != nullptr ? settings_text(*row) : "";
  }));
  columns.push_back(words(analysis, "scene", [&analysis](const roll::FrameResult& frame) {
    const log::LogRow* row = row_of(analysis, frame);
    return row != nullptr ? row->scene : "";
  }));
  columns.push_back(words(analysis, "remarks", flags_text));
  return columns;
}

/// Every column that says anything, as wide as its longest cell.
void write_wide(std::ostream& out, const roll::Analysis& analysis, const Ink& ink) {
  std::vector<WideColumn> columns = wide_columns(analysis);
  std::erase_if(columns, [](const WideColumn& column) {
    return std::all_of(column.cells.begin(), column.cells.end(),
                       [](const std::string& cell) { return cell.empty(); });
  });
  std::vector<int> widths;
  for (const WideColumn& column : columns) {
    int width = display_width(column.head);
    for (const std::string& cell : column.cells) width = std::max(width, display_width(cell));
    widths.push_back(width);
  }
  const auto line = [&](const auto& cell_of) {
    std::string text;
    for (std::size_t c = 0; c < columns.size(); ++c) {
      text += (c > 0 ? "  " : "") + fit(cell_of(columns[c]), widths[c]);
    }
    text.erase(text.find_last_not_of(' ') + 1);
    return text;
  };
  out << ink.faint << line([](const WideColumn& column) { return column.head; }) << ink.end << '\n';
  for (std::size_t i = 0; i < analysis.frames.size(); ++i) {
    out << line([i](const WideColumn& column) { return column.cells[i]; }) << '\n';
  }
}

void write_list(std::ostream& out, const roll::Analysis& analysis, int width, const Ink& ink) {
  const std::vector<std::string> names = frame_names(analysis);
  for (std::size_t i = 0; i < analysis.frames.size(); ++i) {
    const roll::FrameResult& frame = analysis.frames[i];
    out << verdict_ink(ink, frame) << ink.bold
        << wrap(printable(names[i] + ": " + picture_text(frame)), width, 0) << ink.end;
    std::string numbers;
    if (frame.reading && is_known(frame.reading->exposure.estimate)) {
      numbers = "The film got " + estimate_text(frame.reading->exposure.estimate);
    }
    if (frame.expected) {
      numbers += (numbers.empty() ? "Asked " : ", asked ") + signed_stops(*frame.expected);
    }
    if (frame.deviation) numbers += ", deviation " + estimate_text(*frame.deviation);
    if (!numbers.empty()) out << wrap(numbers + ".", width, kBelowName);
    if (const log::LogRow* row = row_of(analysis, frame)) {
      std::string text = settings_text(*row);
      if (!row->scene.empty()) text += (text.empty() ? "" : "; ") + row->scene;
      if (!text.empty()) out << wrap(printable(text) + ".", width, kBelowName);
    }
  }
}

}  // namespace

Ink::Ink(bool colour)
    : bold(colour ? "\x1b[1m" : ""),
      faint(colour ? "\x1b[2m" : ""),
      under(colour ? "\x1b[34m" : ""),
      over(colour ? "\x1b[33m" : ""),
      end(colour ? "\x1b[0m" : "") {}

void write_part(std::ostream& out, const char* heading, const std::vector<std::string>& sentences,
                int width, const Ink& ink) {
  if (sentences.empty()) return;
  out << '\n' << ink.bold << wrap(heading, width, 0) << ink.end;
  for (const std::string& sentence : sentences) out << wrap(printable(sentence), width, kIndent);
}

TableLayout fitting(TableLayout wanted, int width) {
  return wanted == TableLayout::table && width < kLeastForTable ? TableLayout::list : wanted;
}

void write_frames(std::ostream& out, const roll::Analysis& analysis, TableLayout layout, int width,
                  const Ink& ink) {
  switch (layout) {
    case TableLayout::table:
      return write_lines(out, analysis, width, ink);
    case TableLayout::wide:
      return write_wide(out, analysis, ink);
    case TableLayout::list:
      return write_list(out, analysis, width, ink);
  }
}

}  // namespace basefog::report
