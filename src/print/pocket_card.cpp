// SPDX-License-Identifier: GPL-3.0-or-later
#include "basefog/print/pocket_card.hpp"

#include <fmt/format.h>

#include <algorithm>
#include <cmath>
#include <string>
#include <vector>

#include "basefog/report/report.hpp"
#include "print/drawing.hpp"
#include "report/markup.hpp"
#include "report/wording.hpp"

namespace basefog::print {
namespace {

/// The size of a bank card, ID-1 of [ISO7810], mm.
constexpr double kCardWidth = 85.6;
constexpr double kCardHeight = 53.98;
constexpr double kCardCorner = 3;  // radius
constexpr double kMargin = 5;
/// Below the head there is room for this many rows.
constexpr std::size_t kRows = 5;

/// "+⅔", "−1⅓", "0": to the nearest third, as dials are marked.
std::string in_thirds(Stops stops) {
  const long thirds = std::lround(stops.value() * 3);
  if (thirds == 0) return "0";
  const long whole = std::abs(thirds) / 3;
  static constexpr const char* kParts[] = {"", "\u2153", "\u2154"};
  return (thirds > 0 ? "+" : "\u2212") + (whole > 0 ? std::to_string(whole) : std::string()) +
         kParts[std::abs(thirds) % 3];
}

/// When the pictures were taken, as far as log and scans say: "2026-05-01 to 2026-05-14".
std::string dates_of(const roll::Analysis& analysis) {
  std::vector<std::string> days;
  const auto add = [&days](const std::string& date) {
    if (date.size() >= 10) days.push_back(date.substr(0, 10));
  };
  if (analysis.log) {
    for (const log::LogRow& row : analysis.log->rows) add(row.date);
  }
  for (const roll::FrameResult& frame : analysis.frames)
    add(frame.measurement.metadata.original_date);
  if (days.empty()) return "";
  const auto [first, last] = std::minmax_element(days.begin(), days.end());
  return *first == *last ? *first : *first + " to " + *last;
}

std::string name_of_line(const plan::Allowance& one) {
  return one.what == plan::AllowanceFor::lens ? "lens " + one.level : one.level;
}

struct Row {
  std::string name;   ///< "1/500", a scene word
  std::string value;  ///< "\u2212\u2154"
};

/// The plan's allowances in its order; what has no room is counted.
std::vector<Row> rows_of(const plan::NextRoll& plan) {
  std::vector<Row> rows;
  for (const plan::Allowance& one : plan.add) {
    rows.push_back({name_of_line(one), in_thirds(one.stops)});
  }
  if (rows.size() > kRows) {
    const std::size_t more = rows.size() - (kRows - 1);
    rows.resize(kRows - 1);
    rows.push_back({fmt::format("and {} more: see the report", more), ""});
  }
  return rows;
}

std::string dial_text(const plan::DialSetting& dial) {
  const std::string mark = "Dial " + as_marked(dial.mark);
  return dial.compensation == Stops(0) ? mark
                                       : mark + ", compensation " + in_thirds(dial.compensation);
}

constexpr Ink kSoft{0.27, 0.27, 0.27};

void draw_card(Drawing& drawing, const PocketCard& card) {
  drawing.round_edge(kCardCorner, 0.2, {0.6, 0.6, 0.6});
  drawing.text(kMargin, 8.5,
               report::cut_middle(card.camera.empty() ? "For the camera bag" : card.camera, 36),
               {.size = 4});
  const bool short_dial = card.plan.dial.compensation == Stops(0);
  drawing.text(kMargin, 17.5, dial_text(card.plan.dial), {.size = short_dial ? 7.0 : 5.0});
  const std::vector<Row> rows = rows_of(card.plan);
  std::vector<std::string> names;
  for (const Row& row : rows) names.push_back(row.name);
  names = report::short_names(names, 38);
  double y = 24.5;
  for (std::size_t i = 0; i < rows.size(); ++i) {
    const std::string& value = rows[i].value;
    drawing.text(kMargin, y, names[i], {});
    if (!value.empty()) drawing.text(kCardWidth - kMargin, y, value, {.from_right = true});
    y += 4.6;
  }
  if (rows.empty()) {
    drawing.text(kMargin, y,
                 card.plan.state == plan::PlanState::not_known
                     ? "As before: not known well enough to change."
                     : "No speed or scene needs an allowance.",
                 {});
  }
  const Lettering small{.size = 2.6, .ink = kSoft};
  const std::string holds = "Valid for " + card.film +
                            (card.dates.empty() ? ", of no known date" : "; shot " + card.dates);
  drawing.text(kMargin, kCardHeight - 7.2, report::cut_middle(holds, 60), small);
  drawing.text(kMargin, kCardHeight - 3.6,
               "What to add in all, in stops; lines add up. Check again with another film.", small);
}

std::string drawn(DrawingForm form, const PocketCard& card) {
  Drawing drawing(form, kCardWidth, kCardHeight, "Pocket card");
  draw_card(drawing, card);
  return drawing.finish();
}

}  // namespace

PocketCard card_of(const roll::Analysis& analysis) {
  return {.camera = report::camera_name(analysis),
          .film = analysis.film.name + ", ISO " + as_marked(analysis.film.iso_speed),
          .dates = dates_of(analysis),
          .plan = analysis.next_roll.value()};
}

PocketCard card_of(const roll::CameraReview& camera) {
  const meter::BiasHistory& history = camera.history;
  const std::string first = history.first_date.substr(0, 10);
  const std::string last = history.last_date.substr(0, 10);
  return {.camera = history.camera,
          .film = report::list_text(history.films, 2) + ", ISO " + as_marked(history.film_speed),
          .dates = first == last ? first : first + " to " + last,
          .plan = camera.next_roll.value()};
}

void write_pocket_card_pdf(std::ostream& out, const PocketCard& card) {
  out << drawn(DrawingForm::pdf, card);
}

void write_pocket_card_svg(std::ostream& out, const PocketCard& card) {
  out << drawn(DrawingForm::svg, card);
}

}  // namespace basefog::print
