// SPDX-License-Identifier: GPL-3.0-or-later
#include <gmock/gmock.h>
#include <gtest/gtest.h>

#include <sstream>

#include "basefog/report/report.hpp"
#include "makers/sample_analysis.hpp"
#include "report/markup.hpp"
#include "report/ruler.hpp"
#include "report/warning_groups.hpp"
#include "report/wording.hpp"

namespace basefog::report {
namespace {

using ::testing::HasSubstr;
using ::testing::Not;

std::string table(const roll::Analysis& analysis, const TerminalStyle& style = {}) {
  std::ostringstream out;
  write_table(out, analysis, style);
  return out.str();
}

std::string line_of(const std::string& text, const std::string& start) {
  std::istringstream lines(text);
  for (std::string line; std::getline(lines, line);) {
    if (line.starts_with(start)) return line;
  }
  return "";
}

TEST(WriteTable, says_the_picture_first_then_the_exposure_then_what_was_asked) {
  EXPECT_THAT(line_of(table(sample_analysis()), "2 "),
              ::testing::ContainsRegex("^2 +under 0\\.8 \\(0\\.[0-9] to 1\\.[0-9]\\) +sure +-1\\.4 "
                                       "\\(-1\\.7 to -1\\.1\\) +0\\.0 "));
}

TEST(WriteTable, frames_without_numbers_say_why_in_words) {
  const std::string text = table(sample_analysis());
  EXPECT_THAT(line_of(text, "0 "), HasSubstr("blank, no picture"));
  EXPECT_THAT(line_of(text, "6 "), HasSubstr("no clear film to read from"));
  EXPECT_THAT(line_of(text, "7 "), HasSubstr("a positive, not a negative"));
  EXPECT_THAT(line_of(text, "8 "), HasSubstr("file not readable"));
}

TEST(WriteTable, fits_the_terminal) {
  for (int columns : {80, 100, 120}) {
    for (const roll::Analysis& analysis :
         {sample_analysis(), sample_analysis_without_log(), sample_colour_analysis()}) {
      std::istringstream lines(table(analysis, {false, columns}));
      for (std::string line; std::getline(lines, line);) {
        EXPECT_LE(display_width(line), columns) << line;
      }
    }
  }
}

TEST(WriteTable, fits_narrow_terminals_without_a_ruler_or_as_a_list) {
  for (int columns : {30, 50, 68, 79}) {
    for (TableLayout layout : {TableLayout::table, TableLayout::list}) {
      const std::string text = table(
          sample_analysis(), {.columns = columns, .layout = layout, .detailed = columns == 50});
      std::istringstream lines(text);
      for (std::string line; std::getline(lines, line);) {
        // A word alone that is longer than the line cannot be broken.
        if (line.find(' ', line.find_first_not_of(' ')) == std::string::npos) continue;
        EXPECT_LE(display_width(line), columns) << line;
      }
      EXPECT_THAT(text, HasSubstr("under 0.8"));
      EXPECT_THAT(text, Not(HasSubstr("\u25CF"))) << "no ruler";
    }
  }
}

TEST(WriteTable, wide_has_all_numbers_in_columns_of_their_own) {
  const std::string text = table(sample_analysis(), {.columns = 80, .layout = TableLayout::wide});
  const std::string head = line_of(text, "frame ");
  for (const char* name : {"shadow reserve", "highlight room", "deviation", "set to", "remarks"}) {
    EXPECT_THAT(head, HasSubstr(name));
  }
  EXPECT_THAT(line_of(text, "2 "), HasSubstr("1/30"));
}

TEST(WriteTable, says_more_when_asked) {
  const std::string usual = table(sample_analysis());
  const std::string more = table(sample_analysis(), {.detailed = true});
  EXPECT_THAT(usual, Not(HasSubstr("Frame by frame")));
  EXPECT_THAT(more, HasSubstr("Frame by frame"));
  EXPECT_THAT(more, HasSubstr("Bright parts of the scene"));
  EXPECT_THAT(more, HasSubstr("1/30: 0.0 (-0.3 to +0.3) over 1 frame"));
}

TEST(WriteTable, is_plain_without_colour_and_names_cannot_colour_it) {
  EXPECT_THAT(table(sample_analysis()), Not(HasSubstr("\x1b")));
  EXPECT_THAT(table(sample_analysis(), {true, 100}), Not(HasSubstr("\x1b[31m")));
  EXPECT_THAT(table(sample_analysis(), {true, 100}), HasSubstr("\x1b[34m"));
}

TEST(WriteTable, ends_with_what_to_do_next_time) {
  const std::string text = table(sample_analysis());
  const std::size_t advice = text.find("\nNext time\n");
  ASSERT_NE(advice, std::string::npos);
  EXPECT_GT(advice, text.find("\nTake care\n"));
  EXPECT_THAT(text.substr(advice), HasSubstr("Set the dial to 250 instead of 400"));
}

TEST(WriteTable, keeps_to_effects_that_the_interval_supports) {
  roll::Analysis analysis = sample_analysis();
  EXPECT_THAT(table(analysis), Not(HasSubstr("Against the other frames")))
      << "what the plan does about a speed stands with it";
  analysis.next_roll->add.clear();
  EXPECT_THAT(table(analysis), HasSubstr("Against the other frames: 1/500 +0.8 (+0.5 to +1.1)."));
}

TEST(WriteTable, a_remark_on_the_log_is_told_once_with_its_place_and_next_step) {
  roll::Analysis analysis = sample_analysis();
  analysis.log->path = "log.csv";
  analysis.log->remarks = {{4, "Tv", "8?", {log::Doubt::hedged}}};
  analysis.warnings.push_back({"log.csv", Flag::log_value_doubtful, analysis.log->remarks.front()});
  const std::string text = table(analysis, {.columns = 132, .detailed = true});
  EXPECT_THAT(text,
              HasSubstr("The log (log.csv): Line 4, Tv \"8?\": \"8?\" is marked as uncertain. "
                        "Correct"));
  const std::size_t first = text.find("marked as uncertain");
  EXPECT_EQ(text.find("marked as uncertain", first + 1), std::string::npos);
}

TEST(WriteTable, estimates_with_neither_end_known_are_no_numbers) {
  roll::Analysis analysis = sample_analysis();
  reading::FrameReading& reading = *analysis.frames[2].reading;
  reading.exposure.estimate = {ExposureFromAim(-1.4), std::nullopt, std::nullopt};
  reading.correction.estimate = {Stops(0.8), std::nullopt, std::nullopt};
  analysis.frames[2].deviation.reset();
  EXPECT_EQ(outcome_of(analysis.frames[2]), Outcome::not_measured);
  EXPECT_EQ(disagreement_text(*analysis.frames[2].reading), "");
  const std::string line = line_of(table(analysis, {true, 100}), "2 ");
  EXPECT_THAT(line, HasSubstr("beyond what the scan shows"));
  EXPECT_THAT(line, Not(HasSubstr("\x1b[34m"))) << "not in the ink of what is under";
}

TEST(WriteTable, of_a_whole_roll_fits_a_screen) {
  roll::Analysis analysis = sample_long_roll(36, 60);
  const roll::Analysis logged = sample_analysis();
  analysis.meter = logged.meter;
  analysis.next_roll = logged.next_roll;
  analysis.advice = logged.advice;
  analysis.warnings = logged.warnings;
  std::istringstream lines(table(analysis));
  int count = 0;
  for (std::string line; std::getline(lines, line);) {
    ++count;
    EXPECT_LE(display_width(line), 100) << line;
  }
  EXPECT_LE(count + 1, 60) << "and where the report lies";
}

TEST(WriteTable, cautions_are_gathered_by_what_they_are) {
  roll::Analysis analysis = sample_analysis();
  analysis.warnings.clear();
  for (int i = 0; i < 14; ++i) {
    analysis.warnings.push_back({"scans/roll07_" + std::to_string(i) + ".tif", Flag::lossy});
  }
  for (const Flag flag : {Flag::eight_bit, Flag::partial_file, Flag::light_clipped,
                          Flag::base_doubtful, Flag::frames_overlap, Flag::fogged}) {
    analysis.warnings.push_back({std::nullopt, flag});
  }
  const std::string text = table(analysis);
  EXPECT_THAT(text, HasSubstr("14 frames: lossy file."));
  EXPECT_THAT(text, HasSubstr("And 4 more: --verbose, or the report."));
}

TEST(WriteTable, an_empty_roll_is_said_so) {
  EXPECT_THAT(table(roll::Analysis{}), HasSubstr("0 frames."));
}

std::string drawn(const StopsEstimate& exposure, std::optional<ExposureFromAim> expected) {
  std::string text;
  for (RulerMark mark : ruler(from_stops<ExposureFromAim>(exposure), expected)) {
    switch (mark) {
      case RulerMark::got:
        text += 'o';
        break;
      case RulerMark::interval:
        text += '-';
        break;
      case RulerMark::needed:
        text += 'v';
        break;
      case RulerMark::stop:
        text += '.';
        break;
      default:
        text += glyph(mark);
    }
  }
  return text;
}

TEST(Ruler, has_a_place_each_third_of_a_stop) {
  //                                               -3 -2 -1  0  1  2  3
  EXPECT_EQ(drawn({Stops(-1), Stops(-1.34), Stops(-0.66)}, ExposureFromAim(1)),
            ".  . -o- |  v  .  .");
  EXPECT_EQ(drawn({Stops(0), Stops(-0.1), Stops(0.1)}, std::nullopt), ".  .  .  o  .  .  .");
}

TEST(Ruler, shows_what_is_beyond_its_ends) {
  EXPECT_EQ(drawn({Stops(4), Stops(3.5), Stops(4.5)}, ExposureFromAim(0)), ".  .  .  v  .  .  >");
  EXPECT_EQ(drawn({Stops(-2), Stops(-4), Stops(-1)}, std::nullopt), "<--o---  |  .  .  .");
  EXPECT_EQ(drawn({Stops(2), Stops(1), std::nullopt}, std::nullopt), ".  .  .  |  ---o-->");
}

TEST(Ruler, the_exposure_stands_above_what_is_beyond_its_ends) {
  // -3 is the first of 19 places a third of a stop apart; -2.6 is the one after it, rounded.
  EXPECT_EQ(drawn({Stops(-3), Stops(-3.4), Stops(-2.6)}, std::nullopt), "o- .  .  |  .  .  .");
  EXPECT_EQ(drawn({Stops(3), Stops(2.6), Stops(3.4)}, std::nullopt), ".  .  .  |  .  . -o");
}

TEST(Wording, zero_has_no_sign) {
  EXPECT_EQ(signed_stops(Stops(-0.04)), "0.0");
  EXPECT_EQ(signed_stops(Stops(0.04)), "0.0");
  EXPECT_EQ(signed_stops(Stops(-0.06)), "-0.1");
  EXPECT_EQ(signed_stops(Stops(0.25)), "+0.3") << "as the advice says it";
}

TEST(Wording, picture_and_exposure_that_differ_are_explained) {
  const roll::Analysis analysis = sample_analysis();
  const auto why = [&](std::size_t i) { return disagreement_text(*analysis.frames[i].reading); };
  EXPECT_THAT(why(4), HasSubstr("Bright parts of the scene"));
  EXPECT_THAT(why(1), HasSubstr("still holds it"));
  EXPECT_EQ(why(2), "") << "under, and got less: no contradiction";
  EXPECT_EQ(why(3), "");
}

TEST(Wording, frames_are_named_by_label_or_by_file_and_place) {
  EXPECT_EQ(frame_names(sample_colour_analysis()),
            (std::vector<std::string>{"strip (1)", "strip (2)", "single"}));
}

TEST(Wording, scans_of_one_name_are_told_apart_by_folder_or_ending) {
  roll::Analysis analysis;
  for (const char* file : {"roll/first/07.tif", "roll/second/07.tif", "roll/second/08.tif",
                           "roll/second/08.jpg", "roll/second/09.tif"}) {
    analysis.frames.emplace_back();
    analysis.frames.back().measurement.file = file;
  }
  EXPECT_EQ(frame_names(analysis),
            (std::vector<std::string>{"first/07", "second/07", "08.tif", "08.jpg", "09"}));
}

/// A scan of seven frames, the last of which is blank.
roll::Analysis sheet_of_seven() {
  roll::Analysis analysis;
  for (int i = 0; i < 7; ++i) {
    analysis.frames.emplace_back();
    analysis.frames.back().measurement.file = "scans/sheet.tif";
    analysis.frames.back().measurement.index = i;
  }
  analysis.frames[6].state = density::FrameState::blank;
  analysis.frames[6].flags = {Flag::blank};
  return analysis;
}

TEST(Wording, a_warning_names_the_frames_of_a_sheet_that_it_is_about) {
  roll::Analysis analysis = sheet_of_seven();
  analysis.warnings = {{"scans/sheet.tif", Flag::blank}};
  auto groups = grouped_warnings(analysis);
  ASSERT_EQ(groups.size(), 1u);
  EXPECT_EQ(place_text(groups[0]), "Frame sheet (7)");
  analysis.frames[2].flags = {Flag::blank};
  groups = grouped_warnings(analysis);
  EXPECT_EQ(place_text(groups[0]), "Frames sheet (3) and sheet (7)");
}

TEST(Wording, a_warning_about_no_frame_names_the_file_alone) {
  roll::Analysis analysis = sheet_of_seven();
  analysis.warnings = {{"scans/sheet.tif", Flag::no_reference}};
  EXPECT_EQ(place_text(grouped_warnings(analysis).at(0)), "sheet.tif");
}

TEST(Wording, the_camera_is_named_by_its_file_before_the_log) {
  roll::Analysis analysis = sample_analysis();
  EXPECT_EQ(camera_name(analysis), "bench camera");
  analysis.camera = log::Camera{};
  analysis.camera->name = "black one";
  EXPECT_EQ(camera_name(analysis), "black one");
  EXPECT_EQ(camera_name(roll::Analysis{}), "");
}

TEST(Wording, a_slope_over_the_light_is_said_to_a_hundredth) {
  const meter::BiasEffect slope{
      meter::BiasFactor::light_level, "per EV", {Stops(-0.03), Stops(-0.12), Stops(0.06)}, 9};
  EXPECT_EQ(effect_text(slope), "-0.03 (-0.12 to +0.06)");
}

TEST(Wording, lists_are_short) {
  EXPECT_EQ(list_text({"1"}, 3), "1");
  EXPECT_EQ(list_text({"1", "2", "5"}, 3), "1, 2 and 5");
  EXPECT_EQ(list_text({"1", "2", "5", "6"}, 3), "1, 2, 5 and 1 more");
}

}  // namespace
}  // namespace basefog::report
