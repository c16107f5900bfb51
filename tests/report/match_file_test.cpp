// SPDX-License-Identifier: GPL-3.0-or-later
#include <gtest/gtest.h>

#include <algorithm>
#include <filesystem>
#include <fstream>
#include <sstream>

#include "basefog/matching/matching.hpp"
#include "basefog/report/report.hpp"
#include "makers/sample_analysis.hpp"
#include "test_folder.hpp"

namespace basefog::report {
namespace {

std::string written(const roll::Analysis& analysis) {
  std::ostringstream out;
  write_match_file(out, analysis);
  return out.str();
}

TEST(MatchFile, names_that_look_like_comments_or_formulas_are_read_back_as_they_were) {
  roll::Analysis analysis = sample_analysis();
  analysis.frames[1].measurement.file = "#1.tif";
  analysis.frames[2].measurement.file = "=2.tif";
  analysis.log->rows[2].frame = "#2";
  analysis.log->rows[3].frame = "-3";
  for (std::size_t i : {1, 2, 3}) analysis.matching->frames[i].row = i;
  const std::filesystem::path folder = test::test_folder();
  std::filesystem::create_directories(folder);
  const std::filesystem::path file = folder / "match_with_marks.csv";
  std::ofstream(file, std::ios::binary) << written(analysis);
  const std::vector<matching::WrittenPair> pairs = matching::read_match_file(file);
  ASSERT_EQ(pairs.size(), analysis.frames.size());
  EXPECT_EQ(pairs[1].file, "#1.tif");
  EXPECT_EQ(pairs[1].row, "1");
  EXPECT_EQ(pairs[2].file, "=2.tif");
  EXPECT_EQ(pairs[2].row, "#2");
  EXPECT_EQ(pairs[3].row, "-3");
  EXPECT_EQ(pairs[4].row, "");
}

TEST(MatchFile, goes_back_with_what_is_probable_and_fixes_what_a_person_fixed) {
  roll::Analysis analysis = sample_analysis();
  analysis.matching->frames[0].probability = 0.62;
  analysis.matching->frames[1].fixed = true;
  const std::string text = written(analysis);
  EXPECT_NE(text.find(",,0.620,"), std::string::npos) << text;
  const std::filesystem::path file = test::test_folder() / "match_untouched.csv";
  std::ofstream(file, std::ios::binary) << text;
  const std::vector<matching::WrittenPair> pairs = matching::read_match_file(file);
  ASSERT_EQ(pairs.size(), analysis.frames.size());
  for (std::size_t i = 0; i < pairs.size(); ++i) EXPECT_EQ(pairs[i].fixed, i == 1) << i;
}

TEST(MatchFile, frames_that_were_not_matched_are_left_out) {
  roll::Analysis analysis = sample_analysis();
  analysis.matching->frames.resize(2);
  const std::string text = written(analysis);
  EXPECT_EQ(std::count(text.begin(), text.end(), '\n'), 5) << "three lines above, and two frames";
}

}  // namespace
}  // namespace basefog::report
