// SPDX-License-Identifier: GPL-3.0-or-later
#include "desk/sheet.hpp"

#include <gmock/gmock.h>
#include <gtest/gtest.h>

#include <fstream>
#include <random>
#include <sstream>

#include "basefog/log/log.hpp"
#include "desk/wire.hpp"
#include "log/table.hpp"

namespace basefog::desk {
namespace {

using ::testing::ElementsAre;

std::string text_of_file(const std::string& path) {
  std::stringstream text;
  text << std::ifstream(path, std::ios::binary).rdbuf();
  return text.str();
}

SheetRow row(int id, std::vector<std::string> cells) { return {id, std::move(cells)}; }

TEST(Sheet, keeps_a_log_cell_by_cell) {
  const auto sheet = sheet_of(
      "film: HP, ISO 400\nframe;shutter;aperture;notes\n1;1/60;\"5,6\";\"a; \"\"b\"\"\"\n\n"
      "2;\";;8\n");
  ASSERT_TRUE(sheet);
  EXPECT_THAT(sheet->columns, ElementsAre("frame", "shutter", "aperture", "notes"));
  ASSERT_EQ(sheet->facts.size(), 1U);
  EXPECT_EQ(sheet->facts[0], (Fact{"film", "HP, ISO 400"}));
  EXPECT_THAT(sheet->rows,
              ElementsAre(row(1, {"1", "1/60", "5,6", "a; \"b\""}), row(2, {"2", "\"", "", "8"})));
}

TEST(Sheet, takes_cells_of_a_spreadsheet) {
  const auto sheet = sheet_of("frame\tshutter\taperture\r\n1\t1/60\t8\r\n2\t\"\t11\r\n");
  ASSERT_TRUE(sheet);
  EXPECT_THAT(sheet->rows, ElementsAre(row(1, {"1", "1/60", "8"}), row(2, {"2", "\"", "11"})));
}

TEST(Sheet, is_none_of_what_is_no_log) {
  for (const char* text : {"", "hello", "a,b\n1,2\n", "PK\x03\x04zip"}) {
    EXPECT_FALSE(sheet_of(text)) << text;
  }
}

/// What is written reads back cell by cell, and names the line of each row.
void expect_reads_back(const Sheet& sheet) {
  const WrittenLog written = write_log(sheet);
  const std::vector<log::LogLine> lines = log::split_lines(written.text, written.separator);
  std::map<int, std::vector<std::string>> by_line;
  for (const log::LogLine& line : lines) by_line[line.number] = line.cells;
  std::size_t rows = 0;
  for (const SheetRow& one : sheet.rows) {
    for (const auto& [line, id] : written.row_on) {
      if (id != one.id) continue;
      EXPECT_EQ(by_line[line], one.cells) << written.text;
      ++rows;
    }
  }
  EXPECT_EQ(rows, written.row_on.size());
}

TEST(Sheet, reads_back_whatever_was_typed) {
  std::mt19937 random(7);
  const std::vector<std::string> pieces = {"\"", "\"\"", ",", ";", " ",  "1/60", "'",    "#", "//",
                                           "\n", "\t",   "ö", "=", "+1", "|",    "\r\n", "x"};
  for (int round = 0; round < 500; ++round) {
    Sheet sheet = empty_sheet();
    for (int id = 1; id <= 6; ++id) {
      SheetRow one{id, {}};
      for (std::size_t i = 0; i < sheet.columns.size(); ++i) {
        std::string cell;
        for (auto n = random() % 4; n > 0; --n) cell += pieces[random() % pieces.size()];
        one.cells.push_back(cell);
      }
      sheet.rows.push_back(one);
    }
    const auto good = checked(sheet);
    ASSERT_TRUE(good);
    expect_reads_back(*good);
    EXPECT_EQ(sheet_from_json(sheet_text(*good)), *good);
  }
}

TEST(Sheet, of_the_sample_log_reads_as_the_log_itself) {
  const std::string text = text_of_file(std::string(BASEFOG_SAMPLES) + "/roll/log.csv");
  const auto sheet = sheet_of(text);
  ASSERT_TRUE(sheet);
  const log::ShotLog ours = log::parse_shot_log(write_log(*sheet).text, "log.csv");
  const log::ShotLog theirs = log::parse_shot_log(text, "log.csv");
  ASSERT_EQ(ours.rows.size(), theirs.rows.size());
  for (std::size_t i = 0; i < ours.rows.size(); ++i) {
    EXPECT_EQ(ours.rows[i].frame, theirs.rows[i].frame);
    EXPECT_EQ(ours.rows[i].scene, theirs.rows[i].scene);
    EXPECT_EQ(ours.rows[i].note, theirs.rows[i].note);
    EXPECT_EQ(log::expected_exposure(ours.rows[i], FilmSpeed(400)),
              log::expected_exposure(theirs.rows[i], FilmSpeed(400)));
  }
  EXPECT_EQ(ours.remarks, theirs.remarks);
}

TEST(Sheet, holds_the_last_word_on_a_picture_and_on_a_row) {
  Sheet sheet = empty_sheet();
  for (int id = 1; id <= 2; ++id) sheet.rows.push_back({id, {std::to_string(id)}});
  sheet.fixed = {{{"a.tif", 0}, 1}, {{"b.tif", 0}, 1}, {{"a.tif", 0}, 2}, {{"c.tif", 0}, 9}};
  const auto good = checked(sheet);
  ASSERT_TRUE(good);
  EXPECT_THAT(good->fixed, ElementsAre(FixedRow{{"b.tif", 0}, 1}, FixedRow{{"a.tif", 0}, 2}));
}

TEST(Sheet, is_refused_where_it_is_larger_than_any_roll) {
  Sheet sheet = empty_sheet();
  for (int id = 1; id <= 1001; ++id) sheet.rows.push_back({id, {"1"}});
  EXPECT_FALSE(checked(sheet));
  sheet = empty_sheet();
  sheet.columns.resize(41);
  EXPECT_FALSE(checked(sheet));
  sheet = empty_sheet();
  sheet.rows = {{1, {}}, {1, {}}};
  EXPECT_FALSE(checked(sheet));
}

TEST(Wire, takes_no_answer_that_names_a_file) {
  const auto answer = [](const std::string& key, const std::string& value) {
    return answer_wish(R"({"base":1,"key":")" + key + R"(","value":")" + value + R"("})");
  };
  EXPECT_TRUE(answer("film", "colour"));
  EXPECT_TRUE(answer("response", "linear"));
  EXPECT_TRUE(answer("response", "gamma=2.2"));
  for (const char* value : {"/etc/passwd", "film.toml", "", "bw ", "../x", "gamma=2.2/x"}) {
    EXPECT_FALSE(answer("film", value)) << value;
    EXPECT_FALSE(answer("response", value)) << value;
  }
  for (const char* key : {"camera", "ledger", "out", "style", ""}) {
    EXPECT_FALSE(answer(key, "linear")) << key;
  }
}

TEST(Wire, takes_nothing_that_is_no_sheet) {
  DeskView view;
  view.scans.push_back({.id = 3, .file = "/scans/a.tif"});
  const std::string rows = R"("step":"s","facts":[],"columns":["frame"],"rows":[],)";
  EXPECT_TRUE(sheet_wish(R"({"base":1,)" + rows + R"("fixed":[]})", view));
  EXPECT_TRUE(
      sheet_wish(R"({"base":1,)" + rows + R"("fixed":[{"picture":[3,0],"row":null}]})", view));
  for (const std::string& bad :
       {std::string(), std::string("[]"), std::string("{"), std::string("null"),
        R"({"base":"x",)" + rows + R"("fixed":[]})", "{" + rows + R"("fixed":[]})",
        R"({"base":1,)" + rows + R"("fixed":[{"picture":[4,0],"row":null}]})",
        R"({"base":1,)" + rows + R"("fixed":[{"picture":[3,-1],"row":null}]})",
        R"({"base":1,)" + rows + R"("fixed":[{"picture":"../a.tif","row":null}]})",
        R"({"base":1,)" + rows + R"("fixed":[{"picture":[],"row":null}]})",
        std::string(100000, '[')}) {
    EXPECT_FALSE(sheet_wish(bad, view)) << bad.substr(0, 200);
  }
}

}  // namespace
}  // namespace basefog::desk
