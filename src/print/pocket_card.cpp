// SPDX-License-Identifier: GPL-3.0-or-later
#include "basefog/print/pocket_card.hpp"

#include <fmt/format.h>

#include <algorithm>
#include <cmath>
#include <string>
#include <vector>

#include "basefog/report/advice_wording.hpp"
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

struct Row {
  std::string name;   ///< "1/500", "f/2", a scene word
  std::string value;  ///< "−⅔", "avoid"
};

/// What to allow for and what to avoid, most important first; what has no room is counted.
std::vector<Row> rows_of(const roll::Analysis& analysis) {
  std::vector<Row> rows;
  for (const roll::Advice& advice : analysis.advice) {
    const std::string name = report::advice_words(advice).set;
    switch (kind_of(advice)) {
      case roll::AdviceKind::avoid_speed:
        rows.push_back({name, "avoid"});
        break;
      case roll::AdviceKind::allow_for_speed:
      case roll::AdviceKind::allow_for_aperture:
      case roll::AdviceKind::metering:
        rows.push_back({name, in_thirds(*correction_of(advice))});
        break;
      default:
        break;
    }
  }
  if (rows.size() > kRows) {
    const std::size_t more = rows.size() - (kRows - 1);
    rows.resize(kRows - 1);
    rows.push_back({fmt::format("and {} more: see the report", more), ""});
  }
  return rows;
}

std::string validity(const roll::Analysis& analysis) {
  const std::string dates = dates_of(analysis);
  return "Valid for " + analysis.film.name + ", ISO " + as_marked(analysis.film.iso_speed) +
         (dates.empty() ? ", of no known date" : "; shot " + dates);
}

constexpr Ink kSoft{0.27, 0.27, 0.27};

void draw_card(Drawing& card, const roll::Analysis& analysis) {
  card.round_edge(kCardCorner, 0.2, {0.6, 0.6, 0.6});
  const std::string camera = report::camera_name(analysis);
  card.text(kMargin, 8.5, report::cut_middle(camera.empty() ? "For the camera bag" : camera, 36),
            {.size = 4});
  const auto dial =
      std::ranges::find(analysis.advice, roll::AdviceKind::dial_exposure_index, roll::kind_of);
  if (dial != analysis.advice.end()) {
    card.text(kMargin, 17.5, "Dial " + report::advice_words(*dial).set, {.size = 7});
  } else {
    card.text(kMargin, 17.5, "Dial as before", {.size = 5});
  }
  const std::vector<Row> rows = rows_of(analysis);
  double y = 24.5;
  for (const Row& row : rows) {
    card.text(kMargin, y, report::cut_middle(row.name, 38), {});
    if (!row.value.empty()) card.text(kCardWidth - kMargin, y, row.value, {.from_right = true});
    y += 4.6;
  }
  if (rows.empty()) card.text(kMargin, y, "No speed or scene needs an allowance.", {});
  const Lettering small{.size = 2.6, .ink = kSoft};
  card.text(kMargin, kCardHeight - 7.2, report::cut_middle(validity(analysis), 60), small);
  card.text(kMargin, kCardHeight - 3.6,
            "In stops, + is more exposure. Check again after a repair or with another film.",
            small);
}

std::string drawn(DrawingForm form, const roll::Analysis& analysis) {
  Drawing card(form, kCardWidth, kCardHeight, "Pocket card");
  draw_card(card, analysis);
  return card.finish();
}

}  // namespace

void write_pocket_card_pdf(std::ostream& out, const roll::Analysis& analysis) {
  out << drawn(DrawingForm::pdf, analysis);
}

void write_pocket_card_svg(std::ostream& out, const roll::Analysis& analysis) {
  out << drawn(DrawingForm::svg, analysis);
}

}  // namespace basefog::print
