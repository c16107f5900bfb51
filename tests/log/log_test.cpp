// SPDX-License-Identifier: GPL-3.0-or-later
#include "basefog/log/log.hpp"

#include <gmock/gmock.h>
#include <gtest/gtest.h>

#include <fstream>

#include "basefog/core/error.hpp"
#include "log/doubt.hpp"

namespace basefog::log {
namespace {

using ::testing::Contains;
using ::testing::HasSubstr;
using ::testing::IsEmpty;
using ::testing::SizeIs;

ShotLog parse(std::string_view text) { return parse_shot_log(text, "log.csv"); }

double seconds(const LogRow& row) { return row.used.shutter.value().seconds(); }
double f_number(const LogRow& row) { return row.used.aperture.value().value(); }

/// What all the remarks doubt.
Doubts all_doubts(const ShotLog& log) {
  Doubts all;
  for (const LogRemark& remark : log.remarks) add(all, remark.doubts);
  return all;
}

/// Where something is doubtful, for a test that expected nothing.
std::string places(const ShotLog& log) {
  std::string text;
  for (const LogRemark& remark : log.remarks) {
    text += std::to_string(remark.line) + " " + remark.column + " " + remark.value + "\n";
  }
  return text;
}

TEST(ReadShotLog, reads_every_column) {
  const ShotLog log = parse(
      "frame,shutter,aperture,iso,mode,compensation,scene,notes\n"
      "1,1/60,f/5.6,400,A,+1,snow,tripod\n"
      "2,1/125,8,400,M,,street,\n");
  ASSERT_THAT(log.rows, SizeIs(2));
  EXPECT_THAT(log.remarks, IsEmpty());
  const LogRow& row = log.rows[0];
  EXPECT_EQ(row.frame, "1");
  EXPECT_EQ(row.line, 2);
  EXPECT_DOUBLE_EQ(seconds(row), 1.0 / 60);
  EXPECT_DOUBLE_EQ(f_number(row), 5.6);
  EXPECT_DOUBLE_EQ(row.ei.value().iso(), 400);
  EXPECT_EQ(row.mode, ExposureMode::aperture_priority);
  EXPECT_EQ(row.compensation, Stops(1));
  EXPECT_EQ(row.scene, "snow");
  EXPECT_EQ(row.note, "tripod");
  EXPECT_FALSE(row.doubtful);
  EXPECT_FALSE(log.rows[1].compensation);
}

TEST(ReadShotLog, keeps_a_row_with_nonsense_and_says_where) {
  const ShotLog log = parse("frame,shutter,aperture,notes\n1,fast,5.6,gate\n2,1/60,8,door\n");
  ASSERT_THAT(log.rows, SizeIs(2));
  EXPECT_FALSE(log.rows[0].used.shutter);
  EXPECT_DOUBLE_EQ(f_number(log.rows[0]), 5.6);
  EXPECT_TRUE(log.rows[0].doubtful);
  EXPECT_FALSE(log.rows[1].doubtful);
  ASSERT_THAT(log.remarks, SizeIs(1));
  EXPECT_EQ(log.remarks[0].line, 2);
  EXPECT_EQ(log.remarks[0].column, "shutter");
  EXPECT_EQ(log.remarks[0].value, "fast");
  EXPECT_EQ(log.remarks[0].doubts, Doubts{Doubt::not_a_time});
}

TEST(ReadShotLog, takes_columns_in_any_order_under_many_names) {
  const ShotLog log = parse("Comment;Av;Exp. Comp;ASA;#;Tv\ngate;5,6;-2/3;200;7A;1/30\n");
  ASSERT_THAT(log.rows, SizeIs(1));
  EXPECT_THAT(log.remarks, IsEmpty()) << places(log);
  const LogRow& row = log.rows[0];
  EXPECT_EQ(row.frame, "7A");
  EXPECT_DOUBLE_EQ(seconds(row), 1.0 / 30);
  EXPECT_DOUBLE_EQ(f_number(row), 5.6);
  EXPECT_DOUBLE_EQ(row.ei.value().iso(), 200);
  EXPECT_DOUBLE_EQ(row.compensation.value().value(), -2.0 / 3);
  EXPECT_EQ(row.note, "gate");
}

TEST(ReadShotLog, reads_tabs_and_bars) {
  EXPECT_DOUBLE_EQ(f_number(parse("frame\tshutter\tf\n3\t250\t11\n").rows.at(0)), 11);
  const ShotLog barred = parse("| frame | shutter | f |\n|---|---|---|\n| 3 | 250 | 11 |\n");
  ASSERT_THAT(barred.rows, SizeIs(1));
  EXPECT_EQ(barred.rows[0].frame, "3");
  EXPECT_DOUBLE_EQ(seconds(barred.rows[0]), 1.0 / 250);
}

TEST(ReadShotLog, a_drawn_rule_is_no_value) {
  const ShotLog log = parse(
      "| frame | shutter | f | film    |\n"
      "|-------|---------|---|:-------:|\n"
      "| 3-1   | 60      | 8 | ISO 400 |\n"
      "| 3-2   | 60      | 8 | ISO 400 |\n");
  ASSERT_THAT(log.rows, SizeIs(2));
  EXPECT_EQ(log.rows[0].frame, "1");
  EXPECT_EQ(log.rows[1].frame, "2");
  EXPECT_EQ(log.film, "ISO 400");
  EXPECT_THAT(log.remarks, IsEmpty()) << places(log);
}

TEST(ReadShotLog, a_row_of_ditto_marks_is_a_row) {
  for (const char* marks : {"-,-", "=,="}) {
    const ShotLog log = parse("shutter,f\n1/60,8\n" + std::string(marks) + "\n1/125,11\n");
    ASSERT_THAT(log.rows, SizeIs(3)) << marks;
    EXPECT_DOUBLE_EQ(seconds(log.rows[1]), 1.0 / 60);
    EXPECT_DOUBLE_EQ(f_number(log.rows[1]), 8);
  }
}

TEST(ReadShotLog, a_column_of_flash_is_read_by_its_cells) {
  const ShotLog log = parse(
      "frame,shutter,aperture,flash\n1,1/60,5.6,-\n2,1/60,5.6,no\n3,1/60,5.6,n\n"
      "4,1/60,5.6,0\n5,1/60,5.6,\n6,1/60,5.6,yes\n7,1/60,5.6,x\n");
  ASSERT_THAT(log.rows, SizeIs(7));
  for (std::size_t i = 0; i < 7; ++i) EXPECT_EQ(log.rows[i].flash, i >= 5) << i;
}

TEST(ReadShotLog, a_push_stated_above_the_table_is_that_of_all_rows) {
  const ShotLog log = parse("film: ISO 400 pushed to 1600\nframe,shutter,f\n1,1/60,8\n2,1/60,8\n");
  ASSERT_THAT(log.rows, SizeIs(2));
  EXPECT_THAT(log.remarks, IsEmpty()) << places(log);
  EXPECT_EQ(log.rows[0].push, Stops(2));
  EXPECT_DOUBLE_EQ(log.film_speed.value().iso(), 400);
  EXPECT_DOUBLE_EQ(log.rows[1].ei.value().iso(), 1600);
}

TEST(ReadShotLog, speed_in_seconds_is_a_time_in_seconds) {
  const ShotLog log = parse("frame,Speed (s),f\n1,2,8\n2,4,8\n");
  EXPECT_DOUBLE_EQ(seconds(log.rows.at(0)), 2);
  EXPECT_DOUBLE_EQ(seconds(log.rows.at(1)), 4);
}

TEST(ReadShotLog, a_time_of_day_that_is_none_stays_as_a_note) {
  const ShotLog log = parse("frame,date,time of day,shutter,f\n1,2026-05-12,afternoon,1/60,8\n");
  EXPECT_EQ(log.rows.at(0).date, "2026-05-12");
  EXPECT_THAT(log.rows.at(0).note, HasSubstr("afternoon"));
}

TEST(ReadShotLog, one_row_stands_for_a_hundred_frames_at_most) {
  std::string label = "1";
  for (int i = 0; i < 200; ++i) label += ",1";
  EXPECT_THAT(parse("frame,shutter,f\n\"" + label + "\",1/60,8\n").rows, SizeIs(1));
}

TEST(ReadShotLog, reads_every_usual_encoding) {
  const std::string utf8 = "frame;shutter;f;place\n1;1/60;4½;Café\n";
  const std::string utf8_with_mark = "\xef\xbb\xbf" + utf8;
  const std::string latin = "frame;shutter;f;place\r\n1;1/60;4\xbd;Caf\xe9\r\n";
  std::string little = "\xff\xfe";
  std::string big = "\xfe\xff";
  for (const char c : latin) {
    little += {c, '\0'};
    big += {'\0', c};
  }
  for (const std::string& text : {utf8, utf8_with_mark, latin, little, big, little.substr(2)}) {
    const ShotLog log = parse(text);
    ASSERT_THAT(log.rows, SizeIs(1));
    EXPECT_EQ(log.rows[0].frame, "1");
    EXPECT_EQ(log.rows[0].scene, "Café") << log.encoding;
    EXPECT_NEAR(f_number(log.rows[0]), 4.757, 0.001);  // 4 * 2^(1/4)
    EXPECT_THAT(log.remarks, IsEmpty()) << places(log);
  }
}

TEST(ReadShotLog, reads_quotes_as_spreadsheets_write_them) {
  const ShotLog log = parse(
      "frame,shutter,aperture,notes\n"
      "1,\"1/60\",\"5,6\",\"the \"\"old\"\" gate,\nat noon\"\n"
      "2,1\",8,plain\n");
  ASSERT_THAT(log.rows, SizeIs(2));
  EXPECT_DOUBLE_EQ(f_number(log.rows[0]), 5.6);
  EXPECT_EQ(log.rows[0].note, "the \"old\" gate,\nat noon");
  EXPECT_DOUBLE_EQ(seconds(log.rows[1]), 1);
  EXPECT_EQ(log.rows[1].line, 4);
}

TEST(ReadShotLog, repeats_what_ditto_marks_stand_under) {
  const ShotLog log = parse(
      "frame,shutter,aperture,iso,comp,scene\n"
      "1,1/60,5.6,400,+1,gate\n"
      "2,\",8,\",\",\"\n"
      "3,'',-,ditto,-,-\n");
  ASSERT_THAT(log.rows, SizeIs(3));
  EXPECT_DOUBLE_EQ(seconds(log.rows[1]), 1.0 / 60);
  EXPECT_EQ(log.rows[1].compensation, Stops(1));
  EXPECT_EQ(log.rows[1].scene, "gate");
  EXPECT_DOUBLE_EQ(seconds(log.rows[2]), 1.0 / 60);
  EXPECT_DOUBLE_EQ(f_number(log.rows[2]), 8);  // a hyphen under an aperture repeats it
  EXPECT_FALSE(log.rows[2].compensation);      // under a compensation it says none
  EXPECT_EQ(log.rows[2].scene, "");
  EXPECT_THAT(all_doubts(log), Contains(Doubted(Doubt::same_as_above, {"8"})));
}

TEST(ReadShotLog, gives_each_frame_of_a_range_its_row) {
  const ShotLog log = parse("frame,shutter,f\n12-14,1/60,8\n\"15, 16\",1/30,8\n");
  ASSERT_THAT(log.rows, SizeIs(5));
  EXPECT_EQ(log.rows[2].frame, "14");
  EXPECT_EQ(log.rows[4].frame, "16");
  EXPECT_DOUBLE_EQ(seconds(log.rows[4]), 1.0 / 30);
}

TEST(ReadShotLog, tells_roll_and_frame_from_a_range) {
  const ShotLog log = parse("frame,shutter,f\n3-1,1/60,8\n3-2,1/60,8\n");
  ASSERT_THAT(log.rows, SizeIs(2));
  EXPECT_EQ(log.rows[1].frame, "2");
}

TEST(ReadShotLog, keeps_metered_and_used_settings_apart) {
  const ShotLog log = parse(
      "frame,metered shutter,metered aperture,shutter used,aperture used\n1,1/125,8,1/60,8\n");
  const LogRow& row = log.rows.at(0);
  EXPECT_DOUBLE_EQ(row.metered.shutter.value().seconds(), 1.0 / 125);
  EXPECT_DOUBLE_EQ(seconds(row), 1.0 / 60);
  EXPECT_DOUBLE_EQ(expected_exposure(row, FilmSpeed(100)).value().value(), 1);
}

TEST(ReadShotLog, takes_the_meter_as_followed_where_nothing_else_is_written) {
  const ShotLog log = parse(
      "frame,metered shutter,metered aperture,used shutter,used aperture\n"
      "1,1/125,8,,\n"
      "2,1/125,8,1/30,\n"
      "3,1/125,8,fast,\n");
  EXPECT_DOUBLE_EQ(seconds(log.rows.at(0)), 1.0 / 125);
  EXPECT_EQ(expected_exposure(log.rows[0], FilmSpeed(100)), ExposureFromAim(0));
  EXPECT_EQ(expected_exposure(log.rows[1], FilmSpeed(100)), ExposureFromAim(2));
  EXPECT_DOUBLE_EQ(f_number(log.rows[1]), 8);
  EXPECT_FALSE(log.rows[2].used.shutter);
}

TEST(ReadShotLog, takes_lines_above_the_table_for_the_roll) {
  const ShotLog log = parse(
      "# roll: 12\n"
      "Film: ISO 400\n"
      "EI: 200\n"
      "Camera: the black one\n"
      "Meter: hand-held\n"
      "Lens: 50mm f/1.4\n"
      "\n"
      "Frame,Shutter,f,Filter\n"
      "# a comment\n"
      "1,1/60,8,ND8\n");
  EXPECT_DOUBLE_EQ(log.film_speed.value().iso(), 400);
  EXPECT_EQ(log.camera, "the black one");
  EXPECT_EQ(log.roll, "12");
  const LogRow& row = log.rows.at(0);
  EXPECT_EQ(row.line, 10);
  EXPECT_DOUBLE_EQ(row.ei.value().iso(), 200);
  EXPECT_DOUBLE_EQ(row.focal_length_mm.value(), 50);
  EXPECT_DOUBLE_EQ(row.filter.value().value(), 3);
  EXPECT_FALSE(row.meter_behind_filter);
  // One stop more by the index, three less by a filter that the meter did not see.
  EXPECT_DOUBLE_EQ(expected_exposure(row, FilmSpeed(400)).value().value(), 1 - 3);
}

TEST(ReadShotLog, takes_what_every_row_repeats_for_the_roll) {
  const ShotLog log = parse(
      "roll,frame,shutter,f,film,camera\n"
      "12,1,60,8,ISO 125 at 100,black one\n"
      "12,2,60,8,\",black one\n");
  EXPECT_EQ(log.roll, "12");
  EXPECT_EQ(log.camera, "black one");
  EXPECT_EQ(log.film_speed, FilmSpeed(125));
  EXPECT_EQ(log.rows.at(1).ei, FilmSpeed(100));
  EXPECT_THAT(log.remarks, IsEmpty()) << places(log);
  const ShotLog two = parse("roll,frame,shutter,f\n12,1,60,8\n13,1,60,8\n");
  EXPECT_EQ(two.rows.at(1).roll, "13");
  EXPECT_THAT(all_doubts(two), Contains(Doubted(Doubt::several_values, {2})));
}

TEST(ReadShotLog, refuses_tables_that_are_no_log) {
  std::string endless = "frame,shutter,f\n";
  for (int i = 0; i < 10'001; ++i) endless += "1,60,8\n";
  EXPECT_THROW(parse(endless), InputError);
  std::string wide = "shutter,f";
  for (int i = 0; i < 1000; ++i) wide += ",iso";
  EXPECT_THROW(parse(wide + "\n60,8\n"), InputError);
}

TEST(ReadShotLog, lets_the_column_decide_what_a_bare_number_means) {
  const auto times = [](std::string_view column) {
    std::vector<double> values;
    for (const LogRow& row : parse(column).rows) values.push_back(seconds(row));
    return values;
  };
  EXPECT_THAT(times("shutter,f\n60,8\n125,8\n4,8\n"),
              testing::ElementsAre(1.0 / 60, 1.0 / 125, 0.25));
  EXPECT_THAT(times("shutter,f\n0.008,8\n0.5,8\n4,8\n"), testing::ElementsAre(0.008, 0.5, 4));
  EXPECT_THAT(times("shutter (s),f\n0.5,8\n4,8\n"), testing::ElementsAre(0.5, 4));
  EXPECT_THAT(times("shutter,f\n1/60,8\n1/8,8\n4,8\n"), testing::ElementsAre(1.0 / 60, 1.0 / 8, 4));
  // The slowest mark that people call by its denominator is 1/15 s.
  EXPECT_THAT(times("shutter,f\n1/60,8\n15,8\n"), testing::ElementsAre(1.0 / 60, 1.0 / 15));
}

TEST(ReadShotLog, time_is_the_time_of_day_beside_a_shutter) {
  const ShotLog log = parse("frame,date,time,speed,f\n1,2026-05-12,14:30,1/60,8\n");
  EXPECT_EQ(log.rows.at(0).date, "2026-05-12T14:30");
  EXPECT_DOUBLE_EQ(seconds(log.rows.at(0)), 1.0 / 60);
  EXPECT_DOUBLE_EQ(seconds(parse("frame,time,f\n1,60,8\n").rows.at(0)), 1.0 / 60);
}

TEST(ReadShotLog, keeps_what_no_column_is_known_for) {
  const ShotLog log = parse("frame,shutter,f,battery\n1,60,8,low\n");
  EXPECT_EQ(log.rows.at(0).note, "battery: low");
  EXPECT_EQ(log.remarks.at(0), (LogRemark{1, "battery", "", {Doubt::unknown_column}}));
}

TEST(ReadShotLog, drops_rows_that_were_never_filled_in) {
  const ShotLog log = parse("frame,shutter,f,notes\n1,60,8,\n2,,,\n3,60,8,\n4,,,\n5,,,\n");
  ASSERT_THAT(log.rows, SizeIs(3));
  EXPECT_EQ(log.rows[1].frame, "2");
}

TEST(ReadShotLog, knows_frames_without_a_picture) {
  const ShotLog log =
      parse("frame,shutter,f,notes\n00,blank,,\n0,,,lens cap on\n1,60,8,blank wall\n");
  EXPECT_TRUE(log.rows.at(0).no_picture);
  EXPECT_TRUE(log.rows.at(1).no_picture);
  EXPECT_FALSE(log.rows.at(2).no_picture);
  EXPECT_THAT(log.remarks, IsEmpty()) << places(log);
  EXPECT_FALSE(expected_exposure(log.rows[0], FilmSpeed(100)));
}

TEST(ReadShotLog, joins_loose_commas_into_the_last_words) {
  const ShotLog log = parse("frame,shutter,f,notes\n1,60,8,gate, door, cat\n");
  EXPECT_EQ(log.rows.at(0).note, "gate, door, cat");
}

TEST(ReadShotLog, heals_decimal_commas_outside_quotes_and_says_so) {
  const ShotLog log = parse(
      "frame,shutter,f,comp,notes\n"
      "1,60,5,6,,gate\n"
      "2,0,5,2,8,-0,7,door, open\n"
      "3,60,8,-1,stairs, 3 of them, wet\n");
  ASSERT_THAT(log.rows, SizeIs(3));
  EXPECT_DOUBLE_EQ(f_number(log.rows[0]), 5.6);
  EXPECT_EQ(log.rows[0].note, "gate");
  EXPECT_TRUE(log.rows[0].doubtful);
  EXPECT_DOUBLE_EQ(seconds(log.rows[1]), 0.5);
  EXPECT_DOUBLE_EQ(f_number(log.rows[1]), 2.8);
  EXPECT_DOUBLE_EQ(log.rows[1].compensation.value().value(), -2.0 / 3);
  EXPECT_EQ(log.rows[1].note, "door, open");
  EXPECT_TRUE(log.rows[1].doubtful);
  EXPECT_FALSE(log.rows[2].doubtful);
  EXPECT_EQ(log.rows[2].note, "stairs, 3 of them, wet");
  EXPECT_EQ(log.remarks.at(0).doubts, Doubts{Doubted(Doubt::decimal_commas, {"5,6"})});
}

TEST(ReadShotLog, says_where_a_line_has_too_many_cells) {
  const ShotLog log = parse("frame,shutter,f\n1,60,8,6\n");
  EXPECT_EQ(log.remarks.at(0).line, 2);
  EXPECT_TRUE(log.rows[0].doubtful);
  EXPECT_EQ(log.remarks[0].doubts, (Doubts{Doubted(Doubt::too_many_cells, {4, 3})}));
}

TEST(ReadShotLog, refuses_with_a_next_step) {
  const auto error_of = [](std::string_view text) -> std::string {
    try {
      parse(text);
    } catch (const InputError& error) {
      return error.what();
    }
    return "";
  };
  EXPECT_THAT(error_of("a,b\n1,2\n"), HasSubstr("frame, shutter, aperture"));
  EXPECT_THAT(error_of(""), HasSubstr("no line of column names"));
  EXPECT_THAT(error_of("frame,shutter,f\n"), HasSubstr("no rows"));
  EXPECT_THAT(error_of("PK\x03\x04 and so on"), HasSubstr("CSV"));
  EXPECT_THAT(error_of(std::string_view("frame,shutter\0\0,f\n1,2\n", 22)),
              HasSubstr("plain text"));
  EXPECT_THROW(read_shot_log("no-such-log.csv"), InputError);
}

TEST(ExpectedExposure, adds_what_was_asked_for) {
  LogRow row;
  EXPECT_FALSE(expected_exposure(row, FilmSpeed(400)));
  row.used = {ShutterTime(1.0 / 60), FNumber(8)};
  EXPECT_EQ(expected_exposure(row, FilmSpeed(400)), ExposureFromAim(0));
  row.compensation = Stops(1);
  EXPECT_EQ(expected_exposure(row, FilmSpeed(400)), ExposureFromAim(1));
  row.ei = FilmSpeed(200);  // dialled lower than the film: one stop more
  EXPECT_EQ(expected_exposure(row, FilmSpeed(400)), ExposureFromAim(2));
  row.filter = Stops(3);
  EXPECT_EQ(expected_exposure(row, FilmSpeed(400)), ExposureFromAim(-1));
  row.meter_behind_filter = true;
  EXPECT_EQ(expected_exposure(row, FilmSpeed(400)), ExposureFromAim(2));
  row.flash = true;
  EXPECT_FALSE(expected_exposure(row, FilmSpeed(400)));
}

TEST(ExpectedExposure, counts_one_intention_once) {
  LogRow row;
  row.metered = {ShutterTime(1.0 / 125), FNumber(8)};
  row.used = {ShutterTime(1.0 / 60), FNumber(8)};
  row.compensation = Stops(1);
  EXPECT_EQ(expected_exposure(row, FilmSpeed(100)), ExposureFromAim(1));
  row.compensation = Stops(-1);
  EXPECT_EQ(expected_exposure(row, FilmSpeed(100)), ExposureFromAim(0));
}

// [FilmSpeedTable] with [ISO6]: arithmetic speeds and their degrees, as a DIN column or both.
TEST(ReadShotLog, reads_film_speeds_in_degrees) {
  const std::vector<std::pair<int, int>> table = {
      {25, 15},  {50, 18},  {64, 19},  {80, 20},  {100, 21}, {125, 22},  {160, 23},
      {200, 24}, {250, 25}, {320, 26}, {400, 27}, {800, 30}, {1600, 33}, {3200, 36}};
  for (const auto& [iso, degrees] : table) {
    for (const std::string& text : {"frame,shutter,DIN\n1,60," + std::to_string(degrees) + "\n",
                                    "frame,shutter,ISO\n1,60," + std::to_string(degrees) + " DIN\n",
                                    "frame,shutter,ISO\n1,60," + std::to_string(iso) + "/" +
                                        std::to_string(degrees) + "\n"}) {
      const ShotLog log = parse_shot_log(text, "log.csv");
      EXPECT_EQ(nearest_marked(log.rows.at(0).ei.value()).iso(), iso) << text;
      EXPECT_TRUE(log.remarks.empty()) << text;
    }
  }
}

TEST(RowFromMetadata, takes_the_taking_cameras_settings) {
  EXPECT_FALSE(row_from_metadata({}));
  scan::ScanMetadata metadata;
  metadata.shutter_seconds = 1.0 / 60;
  metadata.f_number = 5.6;
  metadata.iso = 200;
  metadata.compensation_stops = -2.0 / 3;
  metadata.original_date = "2026-05-12T14:30";
  metadata.comment = "gate with flash";
  const std::optional<LogRow> row = row_from_metadata(metadata);
  ASSERT_TRUE(row);
  EXPECT_DOUBLE_EQ(seconds(*row), 1.0 / 60);
  EXPECT_DOUBLE_EQ(row->ei.value().iso(), 200);
  EXPECT_TRUE(row->flash);
  EXPECT_EQ(row->date, "2026-05-12T14:30");
  scan::ScanMetadata broken;
  broken.shutter_seconds = 0;
  EXPECT_FALSE(row_from_metadata(broken));
}

TEST(AskedPush, is_the_middle_of_what_the_rows_say) {
  EXPECT_EQ(asked_push(parse("frame,shutter,f\n1,60,8\n")), std::nullopt);
  EXPECT_EQ(asked_push(parse("frame,shutter,f,push\n1,60,8,+1\n2,60,8,+2\n3,60,8,+1\n")), Stops(1));
}

TEST(ShotLog, without_heads_is_read_where_its_values_are_plain) {
  const ShotLog log = parse_shot_log(
      "1,1/125,8,400,,street\n2,1/60,5.6,400,+1,\"gate, shade\"\n3,1/500,11,400,-1/2,field\n",
      "log.csv");
  ASSERT_EQ(log.rows.size(), 3U);
  EXPECT_EQ(log.rows[1].frame, "2");
  EXPECT_EQ(log.rows[1].used.shutter, ShutterTime(1.0 / 60));
  EXPECT_EQ(log.rows[1].used.aperture, FNumber(5.6));
  EXPECT_EQ(log.rows[1].ei, FilmSpeed(400));
  EXPECT_EQ(log.rows[1].compensation, Stops(1));
  EXPECT_EQ(log.rows[1].scene, "gate, shade");
  EXPECT_EQ(log.rows[2].line, 3);
  ASSERT_EQ(log.remarks.size(), 1U);
  EXPECT_EQ(log.remarks[0].doubts[0].doubt, Doubt::no_heads);
}

TEST(ShotLog, without_heads_is_read_with_both_settings_in_a_cell_and_decimal_commas) {
  const ShotLog both = parse_shot_log("7;1/125 f/8\n8;1/60 f/5,6\n9;1/30 f/4\n", "log.csv");
  ASSERT_EQ(both.rows.size(), 3U);
  EXPECT_EQ(both.rows[1].used.aperture, FNumber(5.6));
  const ShotLog dial = parse_shot_log("125;5,6\n60;8\n250;2,8\n500;11\n", "log.csv");
  EXPECT_EQ(dial.rows[0].used.shutter, ShutterTime(1.0 / 125));
  EXPECT_EQ(dial.rows[2].used.aperture, FNumber(2.8));
}

TEST(ShotLog, without_heads_is_refused_where_its_values_are_not_plain) {
  EXPECT_THROW(parse_shot_log("1,8,16\n2,4,8\n3,2,4\n", "log.csv"), InputError);
  EXPECT_THROW(parse_shot_log("a,b\nc,d\ne,f\n", "log.csv"), InputError);
  EXPECT_THROW(parse_shot_log("1,1/60,8\n", "log.csv"), InputError);
}

TEST(ShotLog, in_other_languages_is_the_same_log) {
  for (const char* heads :
       {"Bild;Zeit;Blende;Motiv", "Vue;Vitesse;Ouverture;Sujet",
        "Fotogramma;Tempo;Diaframma;Soggetto", "Fotograma;Velocidad;Diafragma;Tema",
        "Fotograma;Velocidade;Abertura;Assunto", "Opname;Sluitertijd;Diafragma;Onderwerp"}) {
    const ShotLog log = parse_shot_log(std::string(heads) + "\n1;1/125;5,6;gate\n", "log.csv");
    ASSERT_EQ(log.rows.size(), 1U) << heads;
    EXPECT_EQ(log.rows[0].frame, "1") << heads;
    EXPECT_EQ(log.rows[0].used.shutter, ShutterTime(1.0 / 125)) << heads;
    EXPECT_EQ(log.rows[0].used.aperture, FNumber(5.6)) << heads;
    EXPECT_EQ(log.rows[0].scene, "gate") << heads;
  }
}

TEST(ParseLog, takes_bare_carriage_returns_as_line_ends) {
  const ShotLog log = parse("frame,shutter,notes\r1,1/60,a\r2,1/125,\"two\rlines\"\r");
  ASSERT_THAT(log.rows, SizeIs(2));
  EXPECT_EQ(log.rows[1].frame, "2");
  EXPECT_NEAR(seconds(log.rows[1]), 1.0 / 125, 1e-4);
  EXPECT_EQ(log.rows[1].line, 3);
}

}  // namespace
}  // namespace basefog::log
