// SPDX-License-Identifier: GPL-3.0-or-later
#include "basefog/print/pocket_card.hpp"

#include <algorithm>
#include <cmath>
#include <string>
#include <vector>

#include "basefog/report/advice_wording.hpp"
#include "basefog/report/report.hpp"
#include "print/pocket_card.hpp"
#include "report/markup.hpp"
#include "report/svg_axis.hpp"
#include "report/wording.hpp"

namespace basefog::print {
namespace {

constexpr double kMargin = 5;
/// Below the head there is room for this many rows.
constexpr std::size_t kRows = 5;
/// Letters of the body that fit on a line.
constexpr int kLetters = 44;

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

}  // namespace

std::vector<CardText> pocket_card(const roll::Analysis& analysis) {
  std::vector<CardText> card;
  const auto put = [&card](CardText text) {
    text.text = report::printable(text.text);
    card.push_back(std::move(text));
  };
  const std::string camera = report::camera_name(analysis);
  put({.x = kMargin,
       .y = 8.5,
       .size = 4,
       .text = report::cut_middle(camera.empty() ? "For the camera bag" : camera, 36)});
  const auto dial =
      std::ranges::find(analysis.advice, roll::AdviceKind::dial_exposure_index, roll::kind_of);
  if (dial != analysis.advice.end()) {
    put({.x = kMargin, .y = 17.5, .size = 7, .text = "Dial " + report::advice_words(*dial).set});
  } else {
    put({.x = kMargin, .y = 17.5, .size = 5, .text = "Dial as before"});
  }
  const std::vector<Row> rows = rows_of(analysis);
  double y = 24.5;
  for (const Row& row : rows) {
    put({.x = kMargin, .y = y, .text = report::cut_middle(row.name, 38)});
    if (!row.value.empty()) {
      put({.x = kCardWidth - kMargin, .y = y, .from_right = true, .text = row.value});
    }
    y += 4.6;
  }
  if (rows.empty()) {
    put({.x = kMargin, .y = y, .text = "No speed or scene needs an allowance."});
  }
  put({.x = kMargin,
       .y = kCardHeight - 7.2,
       .size = 2.6,
       .soft = true,
       .text = report::cut_middle(validity(analysis), kLetters + 16)});
  put({.x = kMargin,
       .y = kCardHeight - 3.6,
       .size = 2.6,
       .soft = true,
       .text = "In stops, + is more exposure. Check again after a repair or with another film."});
  return card;
}

void write_pocket_card(std::ostream& out, const roll::Analysis& analysis) {
  std::string svg;
  report::put(svg,
              "<svg xmlns=\"http://www.w3.org/2000/svg\" width=\"{0}mm\" height=\"{1}mm\" "
              "viewBox=\"0 0 {0} {1}\" font-family=\"Georgia, 'Liberation Serif', serif\">\n"
              "<title>Pocket card</title>\n"
              "<rect x=\"0.1\" y=\"0.1\" width=\"{2:.2f}\" height=\"{3:.2f}\" rx=\"{4:g}\" "
              "fill=\"#fff\" stroke=\"#999\" stroke-width=\"0.2\"/>\n",
              kCardWidth, kCardHeight, kCardWidth - 0.2, kCardHeight - 0.2, kCardCorner);
  for (const CardText& text : pocket_card(analysis)) {
    report::put(svg,
                "<text x=\"{:.1f}\" y=\"{:.1f}\" font-size=\"{:.1f}\" fill=\"{}\"{}>{}</text>\n",
                text.x, text.y, text.size, text.soft ? "#444" : "#000",
                text.from_right ? " text-anchor=\"end\"" : "", report::escape_markup(text.text));
  }
  out << svg << "</svg>\n";
}

}  // namespace basefog::print
