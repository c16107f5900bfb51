// SPDX-License-Identifier: GPL-3.0-or-later
#include <gtest/gtest.h>

#include <algorithm>
#include <fstream>
#include <sstream>

#include "basefog/report/report.hpp"
#include "basefog/report/roll_summary.hpp"
#include "makers/sample_analysis.hpp"

namespace basefog::report {
namespace {

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
  EXPECT_EQ(cell(2, "exposure (stops)"), "-1.4");
  EXPECT_EQ(cell(2, "exposure low (stops)"), "-1.7");
  EXPECT_EQ(cell(2, "shutter (s)"), "0.0333333");
  EXPECT_EQ(cell(2, "base + fog gray or red (density)"), "0.28");
  EXPECT_EQ(cell(2, "picture"), "under by 0.8");
}

TEST_F(WriteCsv, open_ends_and_what_was_not_measured_are_empty) {
  EXPECT_EQ(cell(4, "correction high (stops)"), "");
  EXPECT_EQ(cell(6, "exposure (stops)"), "");
  EXPECT_EQ(cell(6, "verdict"), "");
  EXPECT_EQ(cell(9, "log row"), "");
  EXPECT_EQ(cell(9, "correction (stops)"), "0") << "no negative zero";
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

/// The names in the first column of the table that follows a heading of DEVELOPERS.md.
std::vector<std::string> documented(const std::string& heading) {
  std::ifstream file(BASEFOG_SAMPLES "/../DEVELOPERS.md");
  std::vector<std::string> names;
  bool here = false;
  for (std::string line; std::getline(file, line);) {
    if (line.starts_with("#")) here = line == heading;
    if (!here || !line.starts_with("| `")) continue;
    names.push_back(line.substr(3, line.find('`', 3) - 3));
  }
  return names;
}

TEST(WriteCsvText, every_column_is_explained_in_DEVELOPERS) {
  std::ostringstream frames;
  write_csv(frames, sample_colour_analysis());
  EXPECT_EQ(records(frames.str()).at(0), documented("### Columns of frames.csv"));
  std::ostringstream rolls;
  write_rolls_csv(rolls, {});
  EXPECT_EQ(records(rolls.str()).at(0), documented("### Columns of rolls.csv"));
}

}  // namespace
}  // namespace basefog::report
