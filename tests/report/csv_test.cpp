// SPDX-License-Identifier: GPL-3.0-or-later
#include <gmock/gmock.h>
#include <gtest/gtest.h>

#include <algorithm>
#include <set>
#include <sstream>

#include "basefog/report/report.hpp"
#include "basefog/report/roll_summary.hpp"
#include "makers/sample_analysis.hpp"
#include "report/csv_columns.hpp"

namespace basefog::report {
namespace {

using ::testing::ElementsAre;

/// Records of a CSV text by the grammar of [RFC4180, 2], written apart from the writer.
std::vector<std::vector<std::string>> records(const std::string& text) {
  std::vector<std::vector<std::string>> all;
  std::vector<std::string> record;
  std::string field;
  for (std::size_t i = 0; i < text.size(); ++i) {
    if (text[i] == '"' && field.empty()) {
      for (++i; i < text.size(); ++i) {
        if (text[i] != '"') {
          field += text[i];
        } else if (i + 1 < text.size() && text[i + 1] == '"') {
          field += text[i++];
        } else {
          break;
        }
      }
    } else if (text[i] == ',') {
      record.push_back(std::exchange(field, ""));
    } else if (text[i] == '\r' && i + 1 < text.size() && text[i + 1] == '\n') {
      record.push_back(std::exchange(field, ""));
      all.push_back(std::exchange(record, {}));
      ++i;
    } else {
      field += text[i];
    }
  }
  EXPECT_TRUE(field.empty() && record.empty()) << "the last record must end in CR LF";
  return all;
}

class WriteCsv : public ::testing::Test {
 protected:
  void SetUp() override {
    std::ostringstream out;
    write_csv(out, sample_analysis());
    // The sample's hostile names are not ASCII, so that the text begins with the mark.
    ASSERT_TRUE(out.str().starts_with("\xEF\xBB\xBF"));
    rows_ = records(out.str().substr(3));
  }
  std::string cell(std::size_t frame, const std::string& column) {
    const auto& head = rows_.at(0);
    const auto place = std::find(head.begin(), head.end(), column);
    EXPECT_NE(place, head.end()) << column;
    return rows_.at(frame + 1).at(static_cast<std::size_t>(place - head.begin()));
  }
  std::vector<std::vector<std::string>> rows_;
};

TEST_F(WriteCsv, has_a_record_a_frame_all_of_one_length) {
  EXPECT_EQ(rows_.size(), sample_analysis().frames.size() + 1);
  for (const auto& row : rows_) EXPECT_EQ(row.size(), rows_[0].size());
}

TEST_F(WriteCsv, numbers_carry_their_unit_in_the_head) {
  EXPECT_EQ(cell(2, "got (stops)"), "-1.4");
  EXPECT_EQ(cell(2, "got low (stops)"), "-1.7");
  EXPECT_EQ(cell(2, "shutter (s)"), "0.0333333");
  EXPECT_EQ(cell(2, "base + fog gray or red (density)"), "0.28");
  EXPECT_EQ(cell(2, "picture"), "under 0.8 (0.5 to 1.1), sure");
}

TEST_F(WriteCsv, open_ends_and_what_was_not_measured_are_empty) {
  EXPECT_EQ(cell(4, "needed high (stops)"), "");
  EXPECT_EQ(cell(6, "got (stops)"), "");
  EXPECT_EQ(cell(6, "verdict"), "");
  EXPECT_EQ(cell(9, "log row"), "");
  EXPECT_EQ(cell(9, "needed (stops)"), "0") << "no negative zero";
}

TEST_F(WriteCsv, text_is_no_formula_and_stays_whole) {
  EXPECT_EQ(cell(10, "note"), std::string("'") + kHostileNote);
  EXPECT_EQ(cell(10, "scene"), kHostileScene);
  EXPECT_EQ(cell(8, "file").find('\x1b'), std::string::npos);
}

TEST(WriteCsvText, plain_letters_need_no_byte_order_mark) {
  std::ostringstream out;
  write_csv(out, sample_colour_analysis());
  EXPECT_TRUE(out.str().starts_with("frame,file,"));
}

TEST(WriteCsvText, every_record_is_as_long_as_its_heads) {
  std::ostringstream frames;
  write_csv(frames, sample_colour_analysis());
  const auto lines = records(frames.str());
  ASSERT_GT(lines.size(), 1u);
  for (const auto& line : lines) EXPECT_EQ(line.size(), lines.front().size());
  std::ostringstream rolls;
  write_rolls_csv(rolls, std::vector<RollSummary>(2));
  for (const auto& line : records(rolls.str())) {
    EXPECT_EQ(line.size(), records(rolls.str()).front().size());
  }
}

// Of an estimate the ends of its interval stand behind it, each with the unit.
TEST(WriteCsvText, heads_carry_their_unit_and_mean_one_thing) {
  for (const auto columns : {frames_columns(), rolls_columns()}) {
    std::set<std::string> heads;
    for (const CsvColumn& column : columns) {
      EXPECT_FALSE(column.meaning.empty()) << column.name;
      for (const std::string& head : heads_of(column))
        EXPECT_TRUE(heads.insert(head).second) << head;
    }
  }
  EXPECT_THAT(heads_of({"exposure", "stops", "", true}),
              ElementsAre("exposure (stops)", "exposure low (stops)", "exposure high (stops)"));
}

}  // namespace
}  // namespace basefog::report
