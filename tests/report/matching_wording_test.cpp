// SPDX-License-Identifier: GPL-3.0-or-later
#include "basefog/report/matching_wording.hpp"

#include <gmock/gmock.h>

namespace basefog::report {
namespace {

using matching::FilmDirection;
using matching::ScanWay;
using testing::ElementsAre;
using testing::IsEmpty;

TEST(MatchingTexts, say_nothing_of_what_is_as_given) {
  matching::Matching matching;
  matching.frames.resize(3);
  EXPECT_THAT(matching_texts(matching), IsEmpty());
}

TEST(MatchingTexts, say_how_the_scans_lie_and_what_is_doubtful) {
  matching::Matching matching;
  matching.frames.resize(3);
  matching.frames[1].doubtful = true;
  matching.way = ScanWay::strips_backwards;
  matching.strip = 6;
  matching.way_probability = 0.81;
  matching.number_offset = -1;
  matching.scanned_twice = {{4, 5}};
  matching.rows_from_scans = 2;
  EXPECT_THAT(matching_texts(matching),
              ElementsAre("The scans run backwards within strips of 6.",
                          "That the scans lie so on the film is only 81 % probable.",
                          "The numbers in the file names run 1 ahead of the log's.",
                          "Scans 5 and 6 seem to be of one frame, so only one of them has its row.",
                          "1 of 3 frames might belong to another row, or to none.",
                          "2 of the frames without a row have their settings from the scans' own "
                          "metadata."));
}

TEST(MatchingTexts, leave_out_the_numbers_of_a_reversed_roll) {
  matching::Matching matching;
  matching.direction = FilmDirection::reversed;
  matching.way = ScanWay::backwards;
  matching.number_offset = 12;
  EXPECT_THAT(matching_texts(matching),
              ElementsAre("The scans run from the last frame to the first."));
}

}  // namespace
}  // namespace basefog::report
