// SPDX-License-Identifier: GPL-3.0-or-later
#include "basefog/matching/matching.hpp"

#include <gmock/gmock.h>
#include <gtest/gtest.h>

#include <algorithm>
#include <cmath>
#include <fstream>
#include <random>

#include "basefog/core/error.hpp"
#include "matching/film_length.hpp"
#include "matching/scan_orders.hpp"
#include "test_folder.hpp"

namespace basefog::matching {
namespace {

using ::testing::ElementsAre;
using ::testing::HasSubstr;
using ::testing::IsEmpty;

const film::FilmProfile kFilm = film::generic_black_and_white(FilmSpeed(400));

/// Rows 1 to n, each with a compensation that says what exposure to expect.
log::ShotLog log_with(const std::vector<double>& compensation) {
  log::ShotLog log;
  for (double stops : compensation) {
    log::LogRow row;
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
    frame.exposure = ExposureFromAim(stops - 0.6);
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
  EXPECT_EQ(matching.way, ScanWay::as_given);
  EXPECT_EQ(matching.number_offset, 0);
  EXPECT_THAT(matching.scanned_twice, IsEmpty());
}

TEST(Matching, leaves_out_a_row_that_was_never_written_and_a_frame_never_scanned) {
  log::ShotLog log = log_with(kAsked);
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
  EXPECT_EQ(matching.number_offset, -1);
}

TEST(Matching, sees_that_file_numbers_count_a_long_lead_in) {
  const std::vector<double> alike(20, 0.0);  // exposures say nothing of the place
  std::vector<MatchFrame> frames;
  for (int i = 1; i <= 4; ++i) frames.push_back({.label = std::to_string(i), .blank = true});
  for (const MatchFrame& frame : frames_with(alike, 5)) frames.push_back(frame);
  const Matching matching = match_frames(frames, log_with(alike), kFilm);
  EXPECT_EQ(matching.frames[4].row, std::optional<std::size_t>(0));
  EXPECT_EQ(matching.frames[23].row, std::optional<std::size_t>(19));
  EXPECT_EQ(matching.number_offset, -4);
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
  log::ShotLog log = log_with(std::vector<double>(9, 0.0));
  const Matching matching = match_frames(frames_with(alike, 0), log, kFilm);
  int doubtful = 0;
  for (const FrameMatch& match : matching.frames) doubtful += match.doubtful;
  EXPECT_GE(doubtful, 8);
}

TEST(Matching, of_nothing_is_nothing) {
  EXPECT_THAT(match_frames({}, log_with({0, 0}), kFilm).unmatched_rows, ElementsAre(0, 1));
  EXPECT_THAT(match_frames(frames_with({0}), {}, kFilm).unmatched_frames, ElementsAre(0));
}

/// Sketches that differ from view to view: one blob of density each.
PictureSketch view(int which) {
  PictureSketch sketch;
  for (int y = 0; y < PictureSketch::kRows; ++y) {
    for (int x = 0; x < PictureSketch::kColumns; ++x) {
      const double dx = x - (1 + 3 * (which % 4));
      const double dy = y - (1 + 3 * (which / 4 % 3));
      sketch.density.push_back(static_cast<float>(std::exp(-(dx * dx + dy * dy) / 4)));
    }
  }
  return sketch;
}

TEST(Matching, a_gap_in_the_rows_numbers_is_a_row_that_was_never_written) {
  log::ShotLog log = log_with(std::vector<double>(10, 0.0));  // nothing but the numbers tells
  log.rows.erase(log.rows.begin() + 3);
  const Matching matching = match_frames(frames_with(std::vector<double>(10, 0.0), 0), log, kFilm);
  EXPECT_THAT(rows_of(matching), ElementsAre(1, 2, 3, 0, 4, 5, 6, 7, 8, 9));
}

TEST(Matching, reads_half_numbers_of_the_film_edge) {
  std::vector<MatchFrame> frames = frames_with({0, 0, 0, 0}, 0);
  log::ShotLog log = log_with({0, 0, 0});
  const std::vector<std::string> files = {"7", "7A", "8", "8A"};
  const std::vector<std::string> rows = {"7", "8", "8A"};
  for (std::size_t i = 0; i < files.size(); ++i) frames[i].label = files[i];
  for (std::size_t j = 0; j < rows.size(); ++j) log.rows[j].frame = rows[j];
  EXPECT_THAT(rows_of(match_frames(frames, log, kFilm)), ElementsAre(1, 0, 2, 3));
}

TEST(Matching, finds_strips_that_were_each_scanned_backwards) {
  // Exposures all different, so that the order is beyond doubt.
  const std::vector<double> asked = {0, 2, -1, 1, -2, 0, 1, -1, 2, -2, 0, 1, 2, -1, 1, -2, 0, 2};
  std::vector<double> scanned;
  for (std::size_t strip = 0; strip < asked.size(); strip += 6) {
    for (std::size_t k = 6; k > 0; --k) scanned.push_back(asked[strip + k - 1]);
  }
  const Matching matching = match_frames(frames_with(scanned, 0), log_with(asked), kFilm);
  EXPECT_THAT(rows_of(matching),
              ElementsAre(6, 5, 4, 3, 2, 1, 12, 11, 10, 9, 8, 7, 18, 17, 16, 15, 14, 13));
  EXPECT_EQ(matching.way, ScanWay::strips_backwards);
  EXPECT_EQ(matching.strip, 6u);
  EXPECT_GT(matching.way_probability, kDoubtful);
}

TEST(Matching, puts_frames_of_two_folders_in_the_order_of_their_numbers) {
  std::vector<MatchFrame> frames;
  const std::vector<double> asked(8, 0.0);
  for (const int first : {2, 1}) {
    for (int k = first; k <= 8; k += 2) {
      frames.push_back(frames_with({0}, k).front());
      frames.back().folder = first == 1 ? "odd" : "even";
    }
  }
  const Matching matching = match_frames(frames, log_with(asked), kFilm);
  EXPECT_THAT(rows_of(matching), ElementsAre(2, 4, 6, 8, 1, 3, 5, 7));
}

TEST(Matching, neighbours_that_look_alike_belong_to_rows_that_tell_of_one_view) {
  // Three views of two frames and one of one; the row of the first was not written.
  const std::vector<int> views = {0, 6, 6, 3, 3, 8, 8};
  const std::vector<std::string> words = {"harbour", "mill", "mill", "bridge",
                                          "bridge",  "inn",  "inn"};
  std::vector<MatchFrame> frames = frames_with(std::vector<double>(7, 0.0), 0);
  log::ShotLog log = log_with(std::vector<double>(6, 0.0));
  for (std::size_t i = 0; i < frames.size(); ++i) frames[i].picture = view(views[i]);
  for (std::size_t j = 0; j < log.rows.size(); ++j) {
    log.rows[j].frame.clear();
    log.rows[j].scene = words[j + 1];
  }
  EXPECT_THAT(rows_of(match_frames(frames, log, kFilm)), ElementsAre(0, 1, 2, 3, 4, 5, 6));
}

TEST(Matching, a_row_goes_to_the_frame_whose_light_its_words_can_mean) {
  // Settings that no meter chose: the words tell how bright it was.
  std::vector<MatchFrame> frames = frames_with({0, 0, 0, 3, -3, 0, 0, 0}, 0);
  log::ShotLog log = log_with(std::vector<double>(7, 0.0));
  for (log::LogRow& row : log.rows) row.frame.clear();
  log.rows[3].scene = "night street";  // EV 7 to 8, where the settings are for EV 11
  EXPECT_THAT(rows_of(match_frames(frames, log, kFilm)), ElementsAre(1, 2, 3, 0, 4, 5, 6, 7));
}

TEST(Matching, takes_dates_where_both_have_them) {
  std::vector<MatchFrame> frames = frames_with({0, 0, 0}, 0);
  log::ShotLog log = log_with({0, 0});
  const std::vector<std::string> days = {"2026-05-01", "2026-05-02", "2026-05-03"};
  for (std::size_t i = 0; i < 3; ++i) frames[i].date = days[i];
  for (std::size_t j = 0; j < 2; ++j) {
    log.rows[j].frame.clear();
    log.rows[j].date = days[2 * j];
  }
  EXPECT_THAT(rows_of(match_frames(frames, log, kFilm)), ElementsAre(1, 0, 2));
}

TEST(Matching, gives_a_frame_that_was_scanned_twice_its_row_once) {
  for (const int first : {0, 1}) {
    std::vector<MatchFrame> frames = frames_with(kAsked, first);
    for (std::size_t i = 0; i < frames.size(); ++i) frames[i].picture = view(static_cast<int>(i));
    frames.insert(frames.begin() + 5, frames[4]);  // of one label, where there are any
    const Matching matching = match_frames(frames, log_with(kAsked), kFilm);
    std::vector<int> rows = rows_of(matching);
    EXPECT_EQ(rows[4] + rows[5], 5) << "one of the twins has row 5, the other none";
    rows.erase(rows.begin() + (rows[4] == 0 ? 4 : 5));
    EXPECT_THAT(rows, ElementsAre(1, 2, 3, 4, 5, 6, 7, 8, 9, 10));
    EXPECT_THAT(matching.scanned_twice, ElementsAre(std::pair<std::size_t, std::size_t>(4, 5)));
  }
}

TEST(Matching, leaves_the_second_row_of_a_double_exposure_without_a_frame) {
  std::vector<MatchFrame> frames = frames_with(kAsked, 0);
  frames.erase(frames.begin() + 5);
  log::ShotLog log = log_with(kAsked);
  for (log::LogRow& row : log.rows) row.frame.clear();
  log.rows[5].note = "double exposure, on top of the one before";
  const Matching matching = match_frames(frames, log, kFilm);
  EXPECT_THAT(rows_of(matching), ElementsAre(1, 2, 3, 4, 5, 7, 8, 9, 10));
  EXPECT_THAT(matching.unmatched_rows, ElementsAre(5));
}

TEST(Matching, joins_a_roll_that_was_scanned_into_two_folders_in_the_wrong_order) {
  const std::vector<double> asked = {0, 1, 0, -1, 0, 2, 1, 0, -2, 1, -1, 2};
  std::vector<double> scanned(asked.begin() + 7, asked.end());
  scanned.insert(scanned.end(), asked.begin(), asked.begin() + 7);
  std::vector<MatchFrame> frames = frames_with(scanned, 0);
  for (std::size_t i = 0; i < frames.size(); ++i) frames[i].folder = i < 5 ? "a" : "b";
  const Matching matching = match_frames(frames, log_with(asked), kFilm);
  EXPECT_THAT(rows_of(matching), ElementsAre(8, 9, 10, 11, 12, 1, 2, 3, 4, 5, 6, 7));
  EXPECT_EQ(matching.way, ScanWay::folders_exchanged);
}

TEST(Matching, finds_two_advances_after_loading) {  // common practice: blanks before frame 1
  std::vector<double> exposures = kAsked;
  std::vector<MatchFrame> frames = frames_with(exposures, 0);
  frames.insert(frames.begin(), 2, MatchFrame{.blank = true});
  EXPECT_THAT(rows_of(match_frames(frames, log_with(kAsked), kFilm)),
              ElementsAre(0, 0, 1, 2, 3, 4, 5, 6, 7, 8, 9, 10));
}

TEST(Matching, knows_how_long_films_are) {
  // 36 scans and 36 rows of a film of 36: no row and no scan is missing, though nothing else tells.
  const std::vector<double> alike(36, 0.0);
  log::ShotLog log = log_with(alike);
  for (log::LogRow& row : log.rows) row.frame.clear();
  const Matching matching = match_frames(frames_with(alike, 0), log, kFilm);
  for (std::size_t i = 0; i < 36; ++i) EXPECT_EQ(matching.frames[i].row, i);
  EXPECT_EQ(possible_lengths(36, 36).front().pictures, 36);
  EXPECT_GT(possible_lengths(36, 36).front().prior, 0.5);
  // 35 scans and 34 rows: most likely one scan and two rows are missing of 36.
  const auto lengths = possible_lengths(35, 34);
  const auto likely = std::ranges::max_element(lengths, {}, &FilmLength::prior);
  EXPECT_EQ(likely->pictures, 36);
  EXPECT_EQ(likely->rows_missing, 2);
  EXPECT_EQ(likely->scans_missing, 1);
}

// The first of a film's frames on the glass, one of them blank; two rows that say no settings. What
// exposures scatter is no reason to take numbers that both sides state for a count of scans.
TEST(Matching, the_first_few_of_a_film_keep_their_numbers) {
  std::mt19937 random(20261130);
  std::normal_distribution<double> normal;
  int tried = 0;
  int wrong = 0;
  for (const std::size_t rows : {5U, 6U}) {
    for (int draw = 0; draw < 100; ++draw) {
      std::vector<double> asked(rows);
      for (double& stops : asked) stops = std::round(normal(random));
      log::ShotLog log = log_with(asked);
      for (const std::size_t row : {random() % rows, random() % rows}) {
        log.rows[row].used = {};
        log.rows[row].ei.reset();
        log.rows[row].compensation.reset();
      }
      std::vector<double> got(asked.begin(), asked.begin() + 4);
      for (double& stops : got) stops += 0.5 * normal(random);
      std::vector<MatchFrame> frames = frames_with(got);
      frames.front() = {.label = "1", .blank = true};
      const std::vector<int> found = rows_of(match_frames(frames, log, kFilm));
      for (int k = 1; k < 4; ++k) {
        ++tried;
        wrong += found[static_cast<std::size_t>(k)] != k + 1 ? 1 : 0;
      }
    }
  }
  EXPECT_LT(wrong, 0.1 * tried);
}

TEST(Matching, keepers_keep_their_numbers) {
  // Whatever their exposures: one frame of the roll, and three of it far apart.
  const std::vector<double> asked(36, 0.0);
  for (const int number : {1, 7, 36}) {
    const Matching one = match_frames(frames_with({1.0}, number), log_with(asked), kFilm);
    EXPECT_EQ(one.frames[0].row, number - 1);
    EXPECT_FALSE(one.frames[0].doubtful) << one.frames[0].probability;
  }
  std::vector<MatchFrame> frames = frames_with({1, -1, 0});
  frames[0].label = "3";
  frames[1].label = "17";
  frames[2].label = "31";
  const Matching three = match_frames(frames, log_with(asked), kFilm);
  EXPECT_THAT(rows_of(three), ElementsAre(3, 17, 31));
  EXPECT_GT(three.confidence, 0.95);
  ASSERT_TRUE(three.numbers);
  EXPECT_EQ(three.numbers->broken, 0U);
}

TEST(Matching, numbers_that_begin_and_end_together_are_an_offset_apart) {
  // Files count from the film's edge, one on; of neither side nothing is missing at its ends.
  std::vector<MatchFrame> frames = frames_with(std::vector<double>(36, 0.0), 2);
  frames.erase(frames.begin() + 1);
  log::ShotLog log = log_with(std::vector<double>(36, 0.0));
  log.rows.erase(log.rows.begin() + 28);
  const Matching matching = match_frames(frames, log, kFilm);
  EXPECT_EQ(matching.number_offset, -1);
  EXPECT_GT(matching.confidence, kDoubtful);
  for (std::size_t i = 0; i < frames.size(); ++i) {
    const auto& row = matching.frames[i].row;
    const int written = std::stoi(frames[i].label) - 1;
    EXPECT_EQ(row ? log.rows[*row].frame : "29", std::to_string(written));
  }
}

TEST(Matching, a_blank_without_a_number_does_not_keep_the_others_from_their_order) {
  // Given from the last number to the first, the blank before the first frame at the end.
  std::vector<MatchFrame> frames = frames_with(std::vector<double>(7, 0.0));
  std::ranges::reverse(frames);
  frames.push_back({.blank = true});
  const std::vector<ScanOrder> orders = possible_orders(frames);
  const auto likeliest = std::ranges::max_element(orders, {}, &ScanOrder::prior);
  EXPECT_THAT(likeliest->frames, ElementsAre(7, 6, 5, 4, 3, 2, 1, 0));
}

TEST(Matching, rows_without_numbers_are_counted_for_keepers) {
  log::ShotLog log = log_with(std::vector<double>(36, 0.0));
  for (log::LogRow& row : log.rows) row.frame.clear();
  std::vector<MatchFrame> frames = frames_with({0, 0, 0});
  frames[0].label = "8";
  frames[1].label = "20";
  frames[2].label = "33";
  const Matching matching = match_frames(frames, log, kFilm);
  EXPECT_THAT(rows_of(matching), ElementsAre(8, 20, 33));
  EXPECT_GT(matching.confidence, kDoubtful);
}

TEST(Matching, as_many_frames_as_rows_lie_in_order) {
  // A sheet: no numbers on frames, and exposures that wander as a meter and scenes make them.
  for (const bool numbered : {true, false}) {
    for (unsigned seed = 1; seed <= 5; ++seed) {
      std::mt19937 random(seed);
      std::normal_distribution<double> wander(0, 0.4);
      std::vector<double> exposures(36);
      for (double& exposure : exposures) exposure = wander(random);
      log::ShotLog log = log_with(std::vector<double>(36, 0.0));
      for (log::LogRow& row : log.rows) row.frame = numbered ? row.frame : "";
      const Matching matching = match_frames(frames_with(exposures, 0), log, kFilm);
      EXPECT_EQ(matching.direction, FilmDirection::forward);
      EXPECT_GT(matching.confidence, kDoubtful);
      for (std::size_t i = 0; i < 36; ++i) EXPECT_EQ(matching.frames[i].row, i);
    }
  }
}

TEST(Matching, a_camera_that_copied_the_film_counts_from_elsewhere) {
  std::vector<MatchFrame> frames = frames_with(kAsked);
  for (std::size_t i = 0; i < frames.size(); ++i) frames[i].label = std::to_string(1234 + i);
  const Matching matching = match_frames(frames, log_with(kAsked), kFilm);
  EXPECT_THAT(rows_of(matching), ElementsAre(1, 2, 3, 4, 5, 6, 7, 8, 9, 10));
  EXPECT_EQ(matching.number_offset, -1233);
  EXPECT_GT(matching.confidence, 0.95);
}

TEST(Matching, scans_that_were_only_counted_give_way_to_the_readings) {
  // Frame 4 was never scanned, and the files count on.
  std::vector<double> exposures = {0, 2, -2, 1, 2, -1, 0, 2, -2, 1, -1, 2};
  const log::ShotLog log = log_with(exposures);
  exposures.erase(exposures.begin() + 3);
  const Matching matching = match_frames(frames_with(exposures), log, kFilm);
  EXPECT_THAT(rows_of(matching), ElementsAre(1, 2, 3, 5, 6, 7, 8, 9, 10, 11, 12));
  ASSERT_TRUE(matching.numbers);
  EXPECT_LT(matching.numbers->hold, 0.01);
  EXPECT_EQ(matching.numbers->broken, 3U);
}

TEST(Matching, keeps_what_the_user_fixed) {
  std::vector<MatchFrame> frames = frames_with(kAsked);
  frames[4].fixed = true;  // no row
  frames[7].fixed = true;
  frames[7].fixed_row = 8;
  const Matching matching = match_frames(frames, log_with(kAsked), kFilm);
  EXPECT_FALSE(matching.frames[4].row);
  EXPECT_EQ(matching.frames[7].row, 8U);
  EXPECT_TRUE(matching.frames[7].fixed);
  EXPECT_FALSE(matching.frames[7].doubtful);
  for (std::size_t i = 0; i < frames.size(); ++i) {
    EXPECT_EQ(matching.frames[i].row == 8U, i == 7) << i;
  }
}

TEST(Matching, rows_that_the_user_exchanged_leave_the_others_where_they_are) {
  std::vector<MatchFrame> frames = frames_with(kAsked);
  frames[2].fixed = frames[3].fixed = true;
  frames[2].fixed_row = 3;
  frames[3].fixed_row = 2;
  EXPECT_THAT(rows_of(match_frames(frames, log_with(kAsked), kFilm)),
              ElementsAre(1, 2, 4, 3, 5, 6, 7, 8, 9, 10));
}

TEST(Matching, names_the_rows_that_a_doubtful_frame_may_belong_to) {
  const Matching matching =
      match_frames(frames_with(std::vector<double>(3, 0.0), 0), log_with({0, 0}), kFilm);
  for (const FrameMatch& match : matching.frames) {
    if (!match.doubtful) continue;
    EXPECT_GE(match.possible.size(), 2U);
    double sum = 0;
    for (const PossibleRow& possible : match.possible) sum += possible.probability;
    EXPECT_NEAR(sum, 1, 0.1);
    EXPECT_TRUE(
        std::ranges::is_sorted(match.possible, std::ranges::greater(), &PossibleRow::probability));
  }
  EXPECT_TRUE(matching.frames[1].doubtful);
}

std::filesystem::path written(const std::string& text) {
  const auto path = test::test_folder() / "pairs.csv";
  std::ofstream(path) << text;
  return path;
}

TEST(MatchFile, is_read_with_either_separator_and_other_columns) {
  const auto pairs =
      read_match_file(written("# mine\nremark;frame;file\nx;7A;a_07.tif\n;;b.tif\n"));
  ASSERT_EQ(pairs.size(), 2U);
  EXPECT_EQ(pairs[0].file, "a_07.tif");
  EXPECT_EQ(pairs[0].row, "7A");
  EXPECT_EQ(pairs[1].row, "");
  EXPECT_EQ(pairs[1].line, 4);
}

TEST(MatchFile, fixes_what_is_marked) {
  const auto pairs =
      read_match_file(written("file,frame,fixed,probability,remark\na.tif,7,,0.6,\nb.tif,8,yes,1,\n"
                              "sheet.tif (2),,x,1,\nd.tif,9,no,1,\n"));
  ASSERT_EQ(pairs.size(), 4U);
  EXPECT_FALSE(pairs[0].fixed);
  EXPECT_TRUE(pairs[1].fixed);
  EXPECT_TRUE(pairs[2].fixed);
  EXPECT_EQ(pairs[2].file, "sheet.tif (2)");
  EXPECT_FALSE(pairs[3].fixed);
  EXPECT_TRUE(read_match_file(written("file,frame\na.tif,7\n"))[0].fixed) << "a person's own file";
  ASSERT_EQ(read_match_file(written("file,frame\ra.tif,7\rb.tif,8\r")).size(), 2U)
      << "bare returns";
}

TEST(WholeLog, is_of_the_roll_where_its_rows_fit_in_their_places_alone) {
  const std::vector<double> asked = {0, 1, 0, -1, 2, 2, 0, -2, -2, 1, 0, 2, -1, 1};
  const Matching own = match_frames(frames_with(asked), log_with(asked), kFilm);
  ASSERT_TRUE(own.log_test);
  EXPECT_EQ(own.log_test->belongs, LogBelongs::yes);
  EXPECT_THAT(own.log_test->witnesses, ElementsAre(LogWitness::exposures));
  std::vector<double> others = {2, -1, 1, 0, -2, 0, 2, 1, 0, 2, -2, 0, 0, -1};
  const Matching foreign = match_frames(frames_with(others), log_with(asked), kFilm);
  EXPECT_NE(foreign.log_test->belongs, LogBelongs::yes);
  const std::vector<double> alike(14, 0.0);
  const Matching silent = match_frames(frames_with(alike), log_with(alike), kFilm);
  EXPECT_EQ(silent.log_test->belongs, LogBelongs::unknown) << "every row would fit anywhere";
}

TEST(MatchFile, says_what_is_wrong_with_it) {
  EXPECT_THROW(read_match_file("no/such/file.csv"), InputError);
  EXPECT_THROW(read_match_file(written("scan,row\na.tif,7\n")), InputError);
  try {
    read_match_file(written("file,frame\na.tif,7\n,8\n"));
    FAIL();
  } catch (const InputError& error) {
    EXPECT_THAT(error.what(), HasSubstr("line 3"));
  }
}

}  // namespace
}  // namespace basefog::matching
