// SPDX-License-Identifier: GPL-3.0-or-later
#include <algorithm>
#include <cmath>
#include <string>
#include <vector>

#include "basefog/report.hpp"
#include "report/markup.hpp"
#include "report/svg_axis.hpp"
#include "report/wording.hpp"

namespace basefog {
namespace report {
namespace {

/// The size of a bank card, ID-1 of [ISO7810], in millimetres.
constexpr double kWidth = 85.6;
constexpr double kHeight = 53.98;
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

void put_text(std::string& out, double x, double y, double size, const char* more,
              const std::string& text) {
  put(out, "<text x=\"{:.1f}\" y=\"{:.1f}\" font-size=\"{:.1f}\"{}>{}</text>\n", x, y, size, more,
      escape_markup(text));
}

/// When the pictures were taken, as far as log and scans say: "2026-05-01 to 2026-05-14".
std::string dates_of(const Analysis& analysis) {
  std::vector<std::string> days;
  const auto add = [&days](const std::string& date) {
    if (date.size() >= 10) days.push_back(date.substr(0, 10));
  };
  if (analysis.log) {
    for (const LogRow& row : analysis.log->rows) add(row.date);
  }
  for (const FrameResult& frame : analysis.frames) add(frame.measurement.metadata.original_date);
  if (days.empty()) return "";
  const auto [first, last] = std::minmax_element(days.begin(), days.end());
  return *first == *last ? *first : *first + " to " + *last;
}

struct Row {
  std::string name;   ///< "1/500", a scene word
  std::string value;  ///< "−⅔"
};

std::vector<Row> rows_of(const Analysis& analysis) {
  std::vector<Row> rows;
  for (const Advice& advice : analysis.advice) {
    const bool on_card =
        advice.kind == AdviceKind::allow_for_speed || advice.kind == AdviceKind::metering;
    if (!on_card || !advice.stops) continue;
    rows.push_back({advice.set.empty() ? advice.text : advice.set, in_thirds(*advice.stops)});
  }
  return rows;
}

std::string card(const Analysis& analysis) {
  std::string out;
  put(out,
      "<svg xmlns=\"http://www.w3.org/2000/svg\" width=\"{0}mm\" height=\"{1}mm\" viewBox=\"0 0 "
      "{0} "
      "{1}\" font-family=\"Georgia, 'Liberation Serif', serif\" fill=\"#000\">\n"
      "<rect x=\"0.1\" y=\"0.1\" width=\"{2:.2f}\" height=\"{3:.2f}\" rx=\"3\" fill=\"#fff\" "
      "stroke=\"#999\" stroke-width=\"0.2\"/>\n",
      kWidth, kHeight, kWidth - 0.2, kHeight - 0.2);
  const std::string camera = analysis.log ? analysis.log->camera : "";
  put_text(out, kMargin, 8.5, 4, "",
           cut_middle(camera.empty() ? "For the camera bag" : camera, 36));

  const auto dial = std::find_if(
      analysis.advice.begin(), analysis.advice.end(),
      [](const Advice& advice) { return advice.kind == AdviceKind::dial_exposure_index; });
  if (dial != analysis.advice.end()) {
    put_text(out, kMargin, 17.5, 7, "", "Dial " + dial->set);
  } else {
    put_text(out, kMargin, 17.5, 5, "", "Dial the film\u2019s speed, as before");
  }

  const std::vector<Row> rows = rows_of(analysis);
  double y = 24.5;
  for (std::size_t i = 0; i < std::min(rows.size(), kRows); ++i, y += 4.6) {
    put_text(out, kMargin, y, 3.6, "", cut_middle(rows[i].name, 38));
    put_text(out, kWidth - kMargin, y, 3.6, " text-anchor=\"end\"", rows[i].value);
  }
  if (rows.empty()) put_text(out, kMargin, y, 3.6, "", "No speed or scene needs an allowance.");

  const std::string dates = dates_of(analysis);
  put_text(out, kMargin, kHeight - 7.2, 2.6, " fill=\"#444\"",
           cut_middle("For " + analysis.film.name + ", ISO " + as_marked(analysis.film.iso_speed) +
                          (dates.empty() ? "" : "; shot " + dates),
                      kLetters + 16));
  put_text(out, kMargin, kHeight - 3.6, 2.6, " fill=\"#444\"",
           "In stops, + is more exposure. Check again after a repair or with another film.");
  return out + "</svg>\n";
}

}  // namespace
}  // namespace report

void write_pocket_card(std::ostream& out, const Analysis& analysis) {
  out << report::card(analysis);
}

}  // namespace basefog
