// SPDX-License-Identifier: GPL-3.0-or-later
#include "log/header.hpp"

#include <gmock/gmock.h>
#include <gtest/gtest.h>

#include <fstream>

#include "log/frames.hpp"

namespace basefog::log {
namespace {

using ::testing::ElementsAre;

std::vector<std::string> meanings(std::vector<std::string> heads) {
  std::vector<std::string> read;
  const auto columns = read_header({1, std::move(heads)});
  if (!columns) return read;
  for (const Column& column : *columns) read.push_back(meaning_of(column));
  return read;
}

TEST(ColumnHeads, mean_what_the_table_says) {
  std::ifstream in(BASEFOG_GOLDEN "/log_column_heads.tsv");
  int heads = 0;
  for (std::string line; std::getline(in, line);) {
    const std::size_t tab = line.find('\t');
    // A head may begin with #; a comment has no tab.
    if (tab == std::string::npos) continue;
    EXPECT_EQ(meaning_of(read_column_head(line.substr(0, tab))), line.substr(tab + 1)) << line;
    ++heads;
  }
  EXPECT_GE(heads, 80);
}

TEST(ColumnHeads, are_settled_by_their_neighbours) {
  EXPECT_THAT(meanings({"frame", "time", "f"}), ElementsAre("frame", "shutter", "aperture"));
  EXPECT_THAT(meanings({"date", "time", "shutter", "f"}),
              ElementsAre("date", "time of day", "shutter", "aperture"));
  EXPECT_THAT(meanings({"speed", "f", "film speed"}),
              ElementsAre("shutter", "aperture", "exposure index"));
  EXPECT_THAT(meanings({"exposure", "Tv", "Av"}), ElementsAre("frame", "shutter", "aperture"));
  EXPECT_THAT(meanings({"exposure", "subject"}), ElementsAre("shutter and aperture", "scene"));
  EXPECT_THAT(meanings({"film speed", "iso", "f"}),
              ElementsAre("film speed", "exposure index", "aperture"));
}

TEST(ColumnHeads, are_none_in_a_row_of_values) {
  EXPECT_FALSE(read_header({1, {"1", "1/60", "8", "gate"}}));
  EXPECT_FALSE(read_header({1, {"My roll of summer"}}));
  EXPECT_FALSE(read_header({1, {"name", "address"}}));
}

TEST(FrameLabels, are_expanded) {
  EXPECT_THAT(frames_in("7A"), ElementsAre("7A"));
  EXPECT_THAT(frames_in("#07"), ElementsAre("07"));
  EXPECT_THAT(frames_in("frame 7"), ElementsAre("7"));
  EXPECT_THAT(frames_in("12-14"), ElementsAre("12", "13", "14"));
  EXPECT_THAT(frames_in("12 to 14"), ElementsAre("12", "13", "14"));
  EXPECT_THAT(frames_in("14\u201312"), ElementsAre("14", "13", "12"));
  EXPECT_THAT(frames_in("3 & 4"), ElementsAre("3", "4"));
  EXPECT_THAT(frames_in("7, 7A"), ElementsAre("7", "7A"));
  EXPECT_THAT(frames_in("1-2026"), ElementsAre("1-2026"));
  EXPECT_THAT(frames_in(""), ElementsAre(""));
}

TEST(FrameWords, say_what_kind_of_frame_it_was) {
  EXPECT_TRUE(says_no_picture("Lens cap on!"));
  EXPECT_TRUE(says_no_picture("blank"));
  EXPECT_FALSE(says_no_picture("blank wall"));
  EXPECT_FALSE(says_no_picture("leader of the band"));
  EXPECT_TRUE(says_flash("bounced flash"));
  EXPECT_FALSE(says_flash("no flash"));
}

}  // namespace
}  // namespace basefog::log
