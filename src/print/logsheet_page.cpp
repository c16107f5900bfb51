// SPDX-License-Identifier: GPL-3.0-or-later
// The log to print: A4 pages, in millimetres.
#include <fmt/format.h>

#include <algorithm>
#include <array>
#include <cmath>
#include <string>
#include <string_view>
#include <vector>

#include "print/drawing.hpp"
#include "print/logsheet.hpp"
#include "report/markup.hpp"

namespace basefog::print {
namespace {

constexpr double kPageWidth = 210;
constexpr double kPageHeight = 297;
constexpr double kLeft = 14;
constexpr double kTableTop = 55;
constexpr double kTableBottom = 282;
/// The highest row, mm, above which a short table looks empty, and the most rows of a page that a
/// hand can still write in (judgement).
constexpr double kHighestRow = 9;
constexpr int kMostRows = 40;
constexpr double kMarginLeft = 178;
constexpr double kMarginColumn = 11;
constexpr double kMarginStep = 3.4;

struct SheetColumn {
  std::string_view head;
  double width;
  std::string_view group;  ///< heading over several columns
};

constexpr auto kColumns = std::to_array<SheetColumn>({{"frame", 10, ""},
                                                      {"time", 15, "metered"},
                                                      {"stop", 12, "metered"},
                                                      {"time", 15, "used"},
                                                      {"stop", 12, "used"},
                                                      {"+/-", 11, ""},
                                                      {"mode", 10, ""},
                                                      {"lens", 14, ""},
                                                      {"scene and light", 34, ""},
                                                      {"notes", 27, ""}});

double table_width() {
  double width = 0;
  for (const SheetColumn& column : kColumns) width += column.width;
  return width;
}

constexpr Ink kBlack{0.11, 0.10, 0.09};
constexpr Ink kSoft{0.43, 0.40, 0.36};
constexpr Ink kFaint{0.85, 0.83, 0.78};
constexpr Lettering kTitle{.size = 6.5, .ink = kBlack};
constexpr Lettering kGroup{.size = 3.6, .ink = kBlack};
constexpr Lettering kName{.size = 2.7, .face = Face::sans, .ink = kSoft};
constexpr Lettering kValue{.size = 3.2, .face = Face::sans, .ink = kBlack};
constexpr Lettering kMark{.size = 2.9, .face = Face::sans, .ink = kBlack};
constexpr Lettering kFrame{.size = 2.9, .face = Face::sans, .ink = kSoft};
constexpr double kThin = 0.15;
constexpr double kThick = 0.25;

/// A word, and what is known or a line to write on.
void field(Drawing& page, double x, double y, double width, std::string_view name,
           const std::string& value) {
  const double after = page.text(x, y, name, kName) + 2;
  if (value.empty()) {
    page.line(after, y + 0.8, x + width - 4, y + 0.8, kThin, kSoft);
    return;
  }
  const auto places = static_cast<int>((x + width - 4 - after) / 1.9);
  page.text(after, y, report::cut_middle(value, std::max(places, 4)), kValue,
            x + width - 4 - after);
}

void draw_head(Drawing& page, const log::Camera& camera, const LogsheetOptions& options,
               int number) {
  page.text(kLeft, 21, options.roll.empty() ? "Log" : "Log of roll " + options.roll, kTitle);
  const int pages = logsheet_pages(options);
  if (pages > 1) page.text(kMarginLeft, 21, fmt::format("page {} of {}", number, pages), kName);
  field(page, kLeft, 31, 70, "film", options.film);
  field(page, kLeft + 70, 31, 34, "film speed", speed_text(options.film_speed));
  field(page, kLeft + 104, 31, 28, "EI set", speed_text(options.ei));
  field(page, kLeft + 132, 31, 56, "loaded on", "");
  field(page, kLeft, 39, 70, "camera", camera.name);
  field(page, kLeft + 70, 39, 62, "meter", "");
  field(page, kLeft + 132, 39, 56, "battery of", camera.battery_fitted);
}

void draw_table(Drawing& page, int first_frame, int rows) {
  const double right = kLeft + table_width();
  const double step = std::min(kHighestRow, (kTableBottom - kTableTop) / rows);
  const double bottom = kTableTop + step * rows;
  double x = kLeft;
  std::string_view group;
  for (const SheetColumn& column : kColumns) {
    if (!column.group.empty() && column.group != group) {
      page.text(x + 1, kTableTop - 6.2, column.group, kGroup);
    }
    group = column.group;
    page.text(x + 1, kTableTop - 1.8, column.head, kName);
    if (x > kLeft) page.line(x, kTableTop, x, bottom, kThin, kFaint);
    x += column.width;
  }
  for (int row = 0; row <= rows; ++row) {
    const double y = kTableTop + step * row;
    // Rows are counted in sixes, as strips are cut.
    const bool strong = row % 6 == 0;
    page.line(kLeft, y, right, y, strong ? kThick : kThin, strong ? kSoft : kFaint);
    if (row < rows) {
      page.text(kLeft + 1, y + step / 2 + 1.1, std::to_string(first_frame + row), kFrame);
    }
  }
}

/// Marks in two columns below a heading; returns where the next heading stands.
double draw_marks(Drawing& page, double y, std::string_view heading,
                  const std::vector<std::string>& marks) {
  if (marks.empty()) return y;
  page.text(kMarginLeft, y, heading, kGroup);
  const std::size_t half = (marks.size() + 1) / 2;
  const bool two = marks.size() > 12;
  const std::size_t in_column = two ? half : marks.size();
  for (std::size_t i = 0; i < marks.size(); ++i) {
    const double x = kMarginLeft + (i >= in_column ? kMarginColumn : 0);
    page.text(x, y + kMarginStep * (1.2 + static_cast<double>(i % in_column)), marks[i], kMark);
  }
  return y + kMarginStep * (static_cast<double>(in_column) + 3);
}

/// As many lenses as there is room for.
void draw_lenses(Drawing& page, double y, const std::vector<log::CameraLens>& lenses) {
  constexpr int kPlaces = 13;
  constexpr double kRoom = 24;
  constexpr double kLensStep = 2.6 * kMarginStep;
  if (lenses.empty() || y + kLensStep > kTableBottom) return;
  page.text(kMarginLeft, y, "lenses", kGroup);
  y += 1.2 * kMarginStep;
  for (const log::CameraLens& lens : lenses) {
    if (y + kMarginStep > kTableBottom) {
      page.text(kMarginLeft, y, "...", kMark);
      return;
    }
    page.text(kMarginLeft, y, report::cut_middle(lens.name, kPlaces), kMark, kRoom);
    page.text(kMarginLeft, y + kMarginStep,
              as_marked(lens.stops.front()) + " to " + as_marked(lens.stops.back()).substr(2),
              kName);
    y += kLensStep;
  }
}

/// As dials are engraved: fractions up to 1/2.
std::string dial_mark(ShutterTime time) {
  const double denominator = 1 / time.seconds();
  const bool fraction = denominator > 1.5 && std::abs(denominator - std::round(denominator)) < 1e-6;
  return fraction ? fmt::format("1/{:.0f}", denominator) : as_marked(time);
}

/// How long the camera may be held by hand; slower wants a tripod (common practice).
double draw_hand_hold(Drawing& page, double y, const log::Camera& camera) {
  const bool one_length = camera.lenses.size() == 1 && !camera.lenses.front().is_zoom();
  std::string limit = "1/focal length";
  if (camera.steady) limit = dial_mark(*camera.steady);
  if (!camera.steady && one_length)
    limit = fmt::format("1/{:.0f}", camera.lenses.front().longest_mm);
  if (!camera.steady && camera.lenses.empty()) {
    limit = dial_mark(log::hand_hold_limit(camera, std::nullopt));
  }
  page.text(kMarginLeft, y, "by hand", kGroup);
  page.text(kMarginLeft, y + 1.2 * kMarginStep, "down to", kMark);
  page.text(kMarginLeft, y + 2.2 * kMarginStep, limit, kMark);
  return y + 5 * kMarginStep;
}

void draw_margin(Drawing& page, const log::Camera& camera) {
  std::vector<std::string> times;
  for (const ShutterTime time : camera.shutter) times.push_back(dial_mark(time));
  if (camera.bulb) times.emplace_back("B");
  std::vector<std::string> stops;
  for (const FNumber stop : log::all_stops(camera)) stops.push_back(as_marked(stop).substr(2));
  double y = draw_marks(page, kTableTop + 1, "times", times);
  y = draw_marks(page, y, "stops", stops);
  y = draw_hand_hold(page, y, camera);
  draw_lenses(page, y, camera.lenses);
}

void draw_page(Drawing& page, const log::Camera& camera, const LogsheetOptions& options,
               int number) {
  // Pages of one log carry as many rows each as can be shared evenly.
  const int pages = logsheet_pages(options);
  const int rows_a_page = (options.frames + pages - 1) / pages;
  const int before = rows_a_page * (number - 1);
  draw_head(page, camera, options, number);
  draw_table(page, options.first_frame + before, std::min(rows_a_page, options.frames - before));
  draw_margin(page, camera);
  page.text(
      kLeft, 288.5,
      "Write under \"used\" only what differs from the meter. Two advances after loading take "
      "no picture: give them a row if you count them.",
      kName);
}

constexpr const char* kTitleOfFile = "Log to fill in";

}  // namespace

int logsheet_pages(const LogsheetOptions& options) {
  return std::max(1, (options.frames + kMostRows - 1) / kMostRows);
}

void write_logsheet_pdf(std::ostream& out, const log::Camera& camera,
                        const LogsheetOptions& options) {
  check(options);
  Drawing log(DrawingForm::pdf, kPageWidth, kPageHeight, kTitleOfFile);
  for (int page = 1; page <= logsheet_pages(options); ++page) {
    draw_page(log, camera, options, page);
    log.next_page();
  }
  out << log.finish();
}

void write_logsheet_svg(std::ostream& out, const log::Camera& camera,
                        const LogsheetOptions& options, int page) {
  check(options, page);
  Drawing log(DrawingForm::svg, kPageWidth, kPageHeight, kTitleOfFile);
  draw_page(log, camera, options, page);
  out << log.finish();
}

}  // namespace basefog::print
