// SPDX-License-Identifier: GPL-3.0-or-later
#include <gmock/gmock.h>
#include <gtest/gtest.h>

#include <algorithm>
#include <sstream>

#include "basefog/page/rolls_page.hpp"
#include "basefog/report/roll_summary.hpp"
#include "makers/sample_analysis.hpp"
#include "report/markup.hpp"

namespace basefog::page {
namespace {

using ::testing::ElementsAre;
using ::testing::HasSubstr;
using ::testing::Not;

std::vector<report::RollSummary> shelf() {
  report::RollSummary broken{.name = "roll 9", .failure = "roll 9: holds no scans; name another."};
  std::vector<report::RollSummary> rolls{
      report::summarise("b/colour <i>", sample_colour_analysis()), broken,
      report::summarise("=roll 7", sample_analysis())};
  rolls[0].report = "b/colour <i>/report.html";
  rolls[2].report = "=roll 7/report.html";
  std::ranges::stable_sort(rolls, report::needs_more_attention);
  return rolls;
}

template <class Writer>
std::string written(const Writer& write) {
  std::ostringstream out;
  write(out);
  return out.str();
}

TEST(RollSummary, counts_every_frame_once) {
  const roll::Analysis analysis = sample_analysis();
  const report::RollSummary roll = report::summarise("x", analysis);
  EXPECT_EQ(roll.frames, analysis.frames.size());
  EXPECT_EQ(
      roll.under + roll.over + roll.unsure + roll.well_exposed + roll.blank + roll.not_measured,
      roll.frames);
  EXPECT_EQ(roll.blank, 1u);
  EXPECT_TRUE(roll.bias.has_value());
  EXPECT_TRUE(roll.median_exposure.has_value());
  EXPECT_FALSE(report::summarise("y", sample_analysis_without_log()).bias.has_value());
}

TEST(RollSummary, names_the_frame_that_missed_most) {
  roll::Analysis analysis = sample_analysis();
  analysis.frames[2].reading->correction.estimate = {Stops(3.2), Stops(2.9), Stops(3.5)};
  const report::RollSummary roll = report::summarise("x", analysis);
  EXPECT_EQ(roll.worst_frame, "2");
  EXPECT_EQ(roll.worst_words, "under 3.2 (2.9 to 3.5), sure");
}

TEST(RollSummary, attention_is_stops_missed_beyond_half_a_stop_a_frame) {
  roll::Analysis analysis = sample_colour_analysis();
  for (roll::FrameResult& frame : analysis.frames) {
    frame.reading->correction.estimate = {Stops(0.2), Stops(0), Stops(0.4)};
  }
  EXPECT_DOUBLE_EQ(report::summarise("x", analysis).attention, 0);
  analysis.frames[0].reading->correction.estimate = {Stops(-2), Stops(-2.5), Stops(-1.5)};
  EXPECT_DOUBLE_EQ(report::summarise("x", analysis).attention, 1.5 / 3);
  analysis.frames[1].reading.reset();
  EXPECT_DOUBLE_EQ(report::summarise("x", analysis).attention, (1.5 + 2) / 3);
}

TEST(RollSummary, rolls_that_need_attention_stand_first) {
  std::vector<report::RollSummary> rolls{{.name = "a", .attention = 0.1},
                                         {.name = "b", .attention = 0.7},
                                         {.name = "c", .failure = "broken"},
                                         {.name = "d", .attention = 0.7}};
  std::ranges::stable_sort(rolls, report::needs_more_attention);
  std::vector<std::string> names;
  for (const report::RollSummary& roll : rolls) names.push_back(roll.name);
  EXPECT_THAT(names, ElementsAre("c", "b", "d", "a"));
}

TEST(RollsTable, fits_any_terminal_and_has_every_roll) {
  const std::vector<report::RollSummary> rolls = shelf();
  for (int columns : {40, 60, 90, 132}) {
    const std::string text = written(
        [&](std::ostream& out) { report::write_rolls_table(out, rolls, {.columns = columns}); });
    std::istringstream lines(text);
    for (std::string line; std::getline(lines, line);) {
      EXPECT_LE(report::display_width(line), columns) << line;
    }
    EXPECT_THAT(text, HasSubstr("=roll 7"));
    EXPECT_THAT(text, HasSubstr("holds no scans"));
  }
}

TEST(RollsCsv, is_a_record_a_roll_without_formulas) {
  const std::string text =
      written([&](std::ostream& out) { report::write_rolls_csv(out, shelf()); });
  EXPECT_THAT(text, HasSubstr("\r\n'=roll 7,"));
  EXPECT_EQ(std::count(text.begin(), text.end(), '\n'), 4);
  std::istringstream lines(text);
  std::string head;
  std::getline(lines, head);
  for (std::string line; std::getline(lines, line);) {
    if (line.find('"') != std::string::npos) continue;
    EXPECT_EQ(std::count(line.begin(), line.end(), ','), std::count(head.begin(), head.end(), ','));
  }
}

TEST(RollsPage, leads_to_each_report_and_lets_no_name_become_markup) {
  std::vector<RollEntry> rolls;
  for (const report::RollSummary& roll : shelf()) rolls.push_back({.summary = roll});
  rolls.back().strip = picture_strip(sample_analysis());
  const std::string page = written([&](std::ostream& out) { write_rolls_html(out, rolls); });
  EXPECT_THAT(page, HasSubstr("href=\"b/colour%20%3Ci%3E/report.html\""));
  EXPECT_THAT(page, HasSubstr("href=\"%3Droll%207/report.html\""));
  EXPECT_THAT(page, Not(HasSubstr("<i>")));
  EXPECT_THAT(page, HasSubstr("holds no scans"));
  EXPECT_THAT(page, HasSubstr("<img class=\"film\" src=\"data:image/jpeg;base64,"));
  EXPECT_THAT(page, HasSubstr("Set the dial to"));
  // One script, the page's own.
  EXPECT_EQ(page.find("<script"), page.rfind("<script"));
}

TEST(PictureStrip, has_a_place_for_every_frame) {
  const roll::Analysis analysis = sample_analysis();
  const PictureStrip strip = picture_strip(analysis);
  EXPECT_EQ(strip.width, 64 * static_cast<int>(analysis.frames.size()));
  EXPECT_TRUE(strip.source.starts_with("data:image/jpeg;base64,"));
  EXPECT_TRUE(picture_strip(roll::Analysis{}).source.empty());
  roll::Analysis none = analysis;
  for (roll::FrameResult& frame : none.frames) frame.reference = {};
  EXPECT_TRUE(picture_strip(none).source.empty());
}

}  // namespace
}  // namespace basefog::page
