// SPDX-License-Identifier: GPL-3.0-or-later
// The log to print: one A4 page, in millimetres.
#include <fmt/format.h>

#include <algorithm>
#include <array>
#include <cmath>
#include <iterator>
#include <string>
#include <string_view>
#include <vector>

#include "basefog/core/error.hpp"
#include "basefog/print/logsheet.hpp"
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

/// SVG with the few shapes that the page needs.
class Page {
 public:
  void line(double x1, double y1, double x2, double y2, std::string_view kind = "rule") {
    fmt::format_to(std::back_inserter(body_),
                   "<line x1=\"{:.5g}\" y1=\"{:.5g}\" x2=\"{:.5g}\" y2=\"{:.5g}\" class=\"{}\"/>\n",
                   x1, y1, x2, y2, kind);
  }
  /// text: of any origin.
  void text(double x, double y, std::string_view kind, std::string_view text) {
    fmt::format_to(std::back_inserter(body_),
                   "<text x=\"{:.5g}\" y=\"{:.5g}\" class=\"{}\">{}</text>\n", x, y, kind,
                   report::escape_markup(text));
  }
  const std::string& body() const { return body_; }

 private:
  std::string body_;
};

/// A word, and what is known or a line to write on.
void field(Page& page, double x, double y, double width, std::string_view name,
           const std::string& value) {
  constexpr double kPerLetter = 1.75;
  const double after = x + static_cast<double>(name.size()) * kPerLetter + 2;
  page.text(x, y, "name", name);
  if (value.empty()) {
    page.line(after, y + 0.8, x + width - 4, y + 0.8, "write");
    return;
  }
  const auto places = static_cast<int>((x + width - 4 - after) / 1.9);
  page.text(after, y, "value", report::cut_middle(report::printable(value), std::max(places, 4)));
}

std::string speed_text(const std::optional<FilmSpeed>& speed) {
  return speed ? as_marked(*speed) : "";
}

void draw_head(Page& page, const log::Camera& camera, const LogsheetOptions& options, int number) {
  page.text(kLeft, 21, "title", options.roll.empty() ? "Log" : "Log of roll " + options.roll);
  const int pages = logsheet_pages(options);
  if (pages > 1) page.text(kMarginLeft, 21, "name", fmt::format("page {} of {}", number, pages));
  field(page, kLeft, 31, 70, "film", options.film);
  field(page, kLeft + 70, 31, 34, "film speed", speed_text(options.film_speed));
  field(page, kLeft + 104, 31, 28, "EI set", speed_text(options.ei));
  field(page, kLeft + 132, 31, 56, "loaded on", "");
  field(page, kLeft, 39, 70, "camera", camera.name);
  field(page, kLeft + 70, 39, 62, "meter", "");
  field(page, kLeft + 132, 39, 56, "battery of", camera.battery_fitted);
}

void draw_table(Page& page, int first_frame, int rows) {
  const double right = kLeft + table_width();
  const double step = std::min(kHighestRow, (kTableBottom - kTableTop) / rows);
  const double bottom = kTableTop + step * rows;
  double x = kLeft;
  std::string_view group;
  for (const SheetColumn& column : kColumns) {
    if (!column.group.empty() && column.group != group) {
      page.text(x + 1, kTableTop - 6.2, "group", column.group);
    }
    group = column.group;
    page.text(x + 1, kTableTop - 1.8, "name", column.head);
    if (x > kLeft) page.line(x, kTableTop, x, bottom);
    x += column.width;
  }
  for (int row = 0; row <= rows; ++row) {
    const double y = kTableTop + step * row;
    // Rows are counted in sixes, as strips are cut.
    page.line(kLeft, y, right, y, row % 6 == 0 ? "strong" : "rule");
    if (row < rows) {
      page.text(kLeft + 1, y + step / 2 + 1.1, "frame", std::to_string(first_frame + row));
    }
  }
}

/// Marks in two columns below a heading; returns where the next heading stands.
double draw_marks(Page& page, double y, std::string_view heading,
                  const std::vector<std::string>& marks) {
  if (marks.empty()) return y;
  page.text(kMarginLeft, y, "group", heading);
  const std::size_t half = (marks.size() + 1) / 2;
  const bool two = marks.size() > 12;
  const std::size_t in_column = two ? half : marks.size();
  for (std::size_t i = 0; i < marks.size(); ++i) {
    const double x = kMarginLeft + (i >= in_column ? kMarginColumn : 0);
    page.text(x, y + kMarginStep * (1.2 + static_cast<double>(i % in_column)), "mark", marks[i]);
  }
  return y + kMarginStep * (static_cast<double>(in_column) + 3);
}

/// As many lenses as there is room for.
void draw_lenses(Page& page, double y, const std::vector<log::CameraLens>& lenses) {
  constexpr int kPlaces = 13;
  constexpr double kLensStep = 2.6 * kMarginStep;
  if (lenses.empty() || y + kLensStep > kTableBottom) return;
  page.text(kMarginLeft, y, "group", "lenses");
  y += 1.2 * kMarginStep;
  for (const log::CameraLens& lens : lenses) {
    if (y + kMarginStep > kTableBottom) {
      page.text(kMarginLeft, y, "mark", "...");
      return;
    }
    page.text(kMarginLeft, y, "mark", report::cut_middle(report::printable(lens.name), kPlaces));
    page.text(kMarginLeft, y + kMarginStep, "name",
              as_marked(lens.stops.front()) + " to " + as_marked(lens.stops.back()).substr(2));
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
double draw_hand_hold(Page& page, double y, const log::Camera& camera) {
  const bool one_length = camera.lenses.size() == 1 && !camera.lenses.front().is_zoom();
  std::string limit = "1/focal length";
  if (camera.steady) limit = dial_mark(*camera.steady);
  if (!camera.steady && one_length)
    limit = fmt::format("1/{:.0f}", camera.lenses.front().longest_mm);
  if (!camera.steady && camera.lenses.empty()) {
    limit = dial_mark(log::hand_hold_limit(camera, std::nullopt));
  }
  page.text(kMarginLeft, y, "group", "by hand");
  page.text(kMarginLeft, y + 1.2 * kMarginStep, "mark", "down to");
  page.text(kMarginLeft, y + 2.2 * kMarginStep, "mark", limit);
  return y + 5 * kMarginStep;
}

void draw_margin(Page& page, const log::Camera& camera) {
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

constexpr std::string_view kStyle = R"(
.rule{stroke:#d9d3c7;stroke-width:.15}.strong{stroke:#6d675d;stroke-width:.25}
.write{stroke:#6d675d;stroke-width:.15}
text{font-family:"Liberation Sans",Arial,sans-serif;fill:#1c1a17}
.title{font:400 6.5px Georgia,"Liberation Serif",serif}
.name{font-size:2.7px;fill:#6d675d}.value{font-size:3.2px}
.group{font:400 3.6px Georgia,"Liberation Serif",serif}
.mark,.frame{font-size:2.9px;font-variant-numeric:tabular-nums}.frame{fill:#6d675d}
)";

}  // namespace

int logsheet_pages(const LogsheetOptions& options) {
  return std::max(1, (options.frames + kMostRows - 1) / kMostRows);
}

void write_logsheet_svg(std::ostream& out, const log::Camera& camera,
                        const LogsheetOptions& options, int page_number) {
  std::string problem = options.validate();
  if (problem.empty() && (page_number < 1 || page_number > logsheet_pages(options))) {
    problem = "this log has no page " + std::to_string(page_number);
  }
  if (!problem.empty()) throw InputError(ErrorCode::usage, {}, problem, "choose another number");
  // Pages of one log carry as many rows each as can be shared evenly.
  const int pages = logsheet_pages(options);
  const int rows_a_page = (options.frames + pages - 1) / pages;
  const int before = rows_a_page * (page_number - 1);
  const int rows = std::min(rows_a_page, options.frames - before);

  Page page;
  draw_head(page, camera, options, page_number);
  draw_table(page, options.first_frame + before, rows);
  draw_margin(page, camera);
  page.text(kLeft, 288.5, "name",
            "Write under \"used\" only what differs from the meter. Two advances after loading "
            "take no picture: give them a row if you count them.");
  out << fmt::format(
      "<svg xmlns=\"http://www.w3.org/2000/svg\" width=\"{0}mm\" height=\"{1}mm\" "
      "viewBox=\"0 0 {0} {1}\">\n<title>{2}</title>\n<style>{3}</style>\n"
      "<rect width=\"{0}\" height=\"{1}\" fill=\"#fff\"/>\n{4}</svg>\n",
      kPageWidth, kPageHeight, "Log to fill in", kStyle, page.body());
}

}  // namespace basefog::print
