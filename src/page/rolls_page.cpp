// SPDX-License-Identifier: GPL-3.0-or-later
#include "basefog/page/rolls_page.hpp"

#include <fmt/format.h>

#include <algorithm>
#include <array>
#include <string>

#include "basefog/core/version.hpp"
#include "basefog/report/roll_summary.hpp"
#include "page/html_parts.hpp"
#include "page/page_files.hpp"
#include "report/markup.hpp"
#include "report/svg_axis.hpp"
#include "report/wording.hpp"

namespace basefog::page {
namespace {

/// A relative address [RFC3986, 2]: all but letters, digits and "-._~/" as percent signs and bytes.
std::string address(const std::filesystem::path& path) {
  std::string out;
  for (char c : path.generic_string()) {
    const bool plain = (c >= '0' && c <= '9') || (c >= 'a' && c <= 'z') || (c >= 'A' && c <= 'Z') ||
                       c == '-' || c == '.' || c == '_' || c == '~' || c == '/';
    out += plain ? std::string(1, c) : fmt::format("%{:02X}", static_cast<unsigned char>(c));
  }
  return out;
}

/// Frames under, well and over as lengths of a bar, in this order from the left.
std::string bar(const report::RollSummary& roll) {
  constexpr double kWidth = 120;
  const double all = static_cast<double>(std::max<std::size_t>(1, roll.frames));
  std::string out;
  report::open_chart(
      out, static_cast<int>(kWidth), 14,
      fmt::format("{} under, {} well exposed, {} over, {} unsure, {} blank, {} not measured",
                  roll.under, roll.well_exposed, roll.over, roll.unsure, roll.blank,
                  roll.not_measured),
      report::ChartKind::picture, "chart counts");
  double x = 0;
  const auto part = [&](const char* classes, std::size_t count) {
    const double width = kWidth * static_cast<double>(count) / all;
    if (count > 0) {
      report::put(out, "<rect class=\"{}\" x=\"{:.1f}\" y=\"2\" width=\"{:.1f}\" height=\"10\"/>",
                  classes, x, std::max(1.0, width - 1));
    }
    x += width;
  };
  part("bar-under", roll.under);
  part("bar-well", roll.well_exposed);
  part("bar-over", roll.over);
  part("bar-none", roll.unsure + roll.blank + roll.not_measured);
  return out + "</svg>";
}

struct Column {
  const char* title;
  const char* key;  ///< by which the script sorts; null: it does not
};
constexpr std::array kColumns{Column{"Roll", "place"},
                              Column{"Frames", "frames"},
                              Column{"Under, well, over", nullptr},
                              Column{"Under", "under"},
                              Column{"Over", "over"},
                              Column{"Not measured", "missing"},
                              Column{"Median", "exposure"},
                              Column{"Meter\u2019s bias", "deviation"},
                              Column{"Worst frame", "attention"},
                              Column{"Warnings", "warnings"}};

/// What a row is sorted by; what is not known has no number, so that it comes last.
std::string sort_data(const report::RollSummary& roll, std::size_t place) {
  std::string out = fmt::format(" data-place=\"{}\"", place);
  if (!roll.failure.empty()) return out;
  report::put(out,
              " data-frames=\"{}\" data-under=\"{}\" data-over=\"{}\" data-missing=\"{}\" "
              "data-warnings=\"{}\" data-attention=\"{:.3f}\"",
              roll.frames, roll.under, roll.over, roll.not_measured, roll.warnings,
              -roll.attention);
  if (roll.median_exposure) {
    report::put(out, " data-exposure=\"{:.3f}\"", roll.median_exposure->value());
  }
  if (roll.bias) report::put(out, " data-deviation=\"{:.3f}\"", roll.bias->value.value());
  return out;
}

/// Under the name: what the roll shows, and what its photographer should do.
void put_under_name(std::string& out, const RollEntry& roll) {
  if (!roll.strip.source.empty()) {
    report::put(out,
                "<img class=\"film\" src=\"{}\" width=\"{}\" height=\"{}\" alt=\"The roll as "
                "straight prints\">",
                roll.strip.source, roll.strip.width, roll.strip.height);
  }
  for (const std::string* text : {&roll.summary.next_time, &roll.summary.trouble}) {
    if (text->empty()) continue;
    report::put(out, "<p class=\"words\">{}</p>", report::escape_markup(report::typeset(*text)));
  }
}

void put_roll(std::string& out, const RollEntry& entry, std::size_t place) {
  const report::RollSummary& roll = entry.summary;
  const std::string name = report::escape_markup(roll.name);
  report::put(out, "<tbody{}><tr><th scope=\"row\">", sort_data(roll, place));
  if (roll.report.empty()) {
    out += name;
  } else {
    report::put(out, "<a href=\"{}\">{}</a>", address(roll.report), name);
  }
  out += "</th>";
  if (!roll.failure.empty()) {
    report::put(out, "<td colspan=\"{}\" class=\"words\">{}</td></tr></tbody>\n",
                kColumns.size() - 1, report::escape_markup(roll.failure));
    return;
  }
  const std::string bias = roll.bias       ? report::typeset(report::estimate_text(*roll.bias))
                           : roll.with_log ? "not known"
                                           : "no log";
  report::put(
      out,
      "<td>{}</td><td>{}</td><td>{}</td><td>{}</td><td>{}</td><td>{}</td><td>{}</td><td>{}</td>"
      "<td>{}</td></tr>\n<tr class=\"more\"><td colspan=\"{}\">",
      roll.frames, bar(roll), roll.under, roll.over, roll.not_measured,
      roll.median_exposure ? report::typeset(report::signed_stops(*roll.median_exposure)) : "",
      bias,
      roll.worst_frame.empty() ? ""
                               : report::escape_markup(roll.worst_frame) + ": " +
                                     report::escape_markup(roll.worst_words),
      roll.warnings, kColumns.size());
  put_under_name(out, entry);
  out += "</td></tr></tbody>\n";
}

std::string page(std::span<const RollEntry> rolls) {
  std::size_t frames = 0;
  for (const RollEntry& roll : rolls) frames += roll.summary.frames;
  std::string out;
  put_head(out, "Rolls", "img-src data:; script-src '" + script_source() + "'; ");
  report::put(out,
              "<body>\n<header class=\"page-head\"><h1>{} roll{}</h1><p class=\"meta\">{} frames. "
              "What needs attention most stands first.</p></header>\n<main>\n",
              rolls.size(), rolls.size() == 1 ? "" : "s", frames);
  out +=
      "<section aria-labelledby=\"rolls\"><h2 id=\"rolls\">Roll by roll</h2>\n"
      "<div class=\"scroll\" tabindex=\"0\" role=\"group\" aria-label=\"All rolls\"><table "
      "id=\"numbers\"><caption>Each roll leads to its report. Median: what the film got, in stops "
      "from the aim; the meter\u2019s bias with its 95 % interval. The bar: frames under, well "
      "exposed and over, from the left. Under each roll: its straight prints, and what to do on "
      "the "
      "next one.</caption><thead><tr>";
  for (const Column& column : kColumns) {
    if (column.key == nullptr) {
      report::put(out, "<th scope=\"col\">{}</th>", column.title);
    } else {
      report::put(out,
                  "<th scope=\"col\"><button type=\"button\" data-sort=\"{}\">{}</button></th>",
                  column.key, column.title);
    }
  }
  out += "</tr></thead>\n";
  for (std::size_t i = 0; i < rolls.size(); ++i) put_roll(out, rolls[i], i);
  report::put(
      out,
      "</table></div>\n<p class=\"note\">Order: rolls that could not be reviewed, then by "
      "the stops by which pictures missed a good exposure, a frame of the roll; a frame that could "
      "not be measured counts as two stops.</p></section>\n</main>\n<footer class=\"page-foot\">"
      "Made by basefog {}. Nothing here comes from or goes to a network.</footer>\n"
      "<script>{}</script>\n</body>\n</html>\n",
      kVersion, kPageScript);
  return out;
}

}  // namespace

void write_rolls_html(std::ostream& out, std::span<const RollEntry> rolls) { out << page(rolls); }

}  // namespace basefog::page
