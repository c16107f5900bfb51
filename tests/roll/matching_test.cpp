// SPDX-License-Identifier: GPL-3.0-or-later
#include "basefog/matching.hpp"

#include <gmock/gmock.h>
#include <gtest/gtest.h>

namespace basefog {
namespace {

using ::testing::Contains;
using ::testing::ElementsAre;
using ::testing::HasSubstr;
using ::testing::IsEmpty;

const FilmProfile kFilm = generic_black_and_white(FilmSpeed(400));

/// Rows 1 to n, each with a compensation that says what exposure to expect.
ShotLog log_with(const std::vector<double>& compensation) {
  ShotLog log;
  for (double stops : compensation) {
    LogRow row;
    row.frame = std::to_string(log.rows.size() + 1);
    row.used = {ShutterTime(1 / 125.0), FNumber(8)};
    row.ei = FilmSpeed(400);
    row.compensation = Stops(stops);
    log.rows.push_back(row);
  }
  return log;
}

/// Frames that got those exposures and a camera's bias; labels from `first` on, none for 0.
std::vector<MatchFrame> frames_with(const std::vector<double>& exposures, int first = 1) {
  std::vector<MatchFrame> frames;
  for (double stops : exposures) {
    MatchFrame frame;
    if (first > 0) frame.label = std::to_string(first + static_cast<int>(frames.size()));
    frame.exposure = Stops(stops - 0.6);
    frame.exposure_sigma = 0.2;
    frames.push_back(frame);
  }
  return frames;
}

std::vector<int> rows_of(const Matching& matching) {
  std::vector<int> rows;
  for (const FrameMatch& match : matching.frames) {
    rows.push_back(match.row ? static_cast<int>(*match.row) + 1 : 0);
  }
  return rows;
}

const std::vector<double> kAsked = {0, 1, 0, -1, 0, 2, 0, 0, -2, 1};

TEST(Matching, takes_labels_that_agree) {
  const Matching matching = match_frames(frames_with(kAsked), log_with(kAsked), kFilm);
  EXPECT_THAT(rows_of(matching), ElementsAre(1, 2, 3, 4, 5, 6, 7, 8, 9, 10));
  EXPECT_GT(matching.confidence, 0.95);
  EXPECT_THAT(matching.notes, IsEmpty());
}

TEST(Matching, leaves_out_a_row_that_was_never_written_and_a_frame_never_scanned) {
  ShotLog log = log_with(kAsked);
  log.rows.erase(log.rows.begin() + 3);
  std::vector<MatchFrame> frames = frames_with(kAsked);
  frames.erase(frames.begin() + 7);
  const Matching matching = match_frames(frames, log, kFilm);
  EXPECT_THAT(rows_of(matching), ElementsAre(1, 2, 3, 0, 4, 5, 6, 8, 9));
  EXPECT_THAT(matching.unmatched_frames, ElementsAre(3));
  EXPECT_THAT(matching.unmatched_rows, ElementsAre(6));
}

TEST(Matching, sees_that_file_numbers_count_a_lead_in_blank) {
  std::vector<MatchFrame> frames = frames_with(kAsked, 2);
  frames.insert(frames.begin(), {.label = "1", .blank = true});
  const Matching matching = match_frames(frames, log_with(kAsked), kFilm);
  EXPECT_THAT(rows_of(matching), ElementsAre(0, 1, 2, 3, 4, 5, 6, 7, 8, 9, 10));
  EXPECT_THAT(matching.notes, Contains(HasSubstr("run 1 ahead of the log's")));
}

TEST(Matching, finds_a_reversed_roll_without_labels_from_the_exposures) {
  std::vector<double> exposures(kAsked.rbegin(), kAsked.rend());
  const Matching matching = match_frames(frames_with(exposures, 0), log_with(kAsked), kFilm);
  EXPECT_EQ(matching.direction, FilmDirection::reversed);
  EXPECT_THAT(rows_of(matching), ElementsAre(10, 9, 8, 7, 6, 5, 4, 3, 2, 1));
}

TEST(Matching, calls_doubtful_what_nothing_can_decide) {
  // Ten frames alike and nine rows alike, no labels: any one frame may be the one without a row.
  const std::vector<double> alike(10, 0.0);
  ShotLog log = log_with(std::vector<double>(9, 0.0));
  const Matching matching = match_frames(frames_with(alike, 0), log, kFilm);
  int doubtful = 0;
  for (const FrameMatch& match : matching.frames) doubtful += match.doubtful;
  EXPECT_GE(doubtful, 8);
  EXPECT_THAT(matching.notes, Contains(HasSubstr("might belong to another row")));
}

TEST(Matching, of_nothing_is_nothing) {
  EXPECT_THAT(match_frames({}, log_with({0, 0}), kFilm).unmatched_rows, ElementsAre(0, 1));
  EXPECT_THAT(match_frames(frames_with({0}), {}, kFilm).unmatched_frames, ElementsAre(0));
}

}  // namespace
}  // namespace basefog
