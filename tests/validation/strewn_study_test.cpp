// SPDX-License-Identifier: GPL-3.0-or-later
// A small run of the study of film as hands lay it. The figures that count come from strewn_study.
#include "validation/strewn_study.hpp"

#include <gtest/gtest.h>

#include <cstdint>

#include "validation/strewn_sheets.hpp"

namespace validation {
namespace {

TEST(StrewnStudy, frames_are_found_or_it_is_said_that_film_lies_there) {
  StrewnScore all;
  for (int k = 0; k < kLies; ++k) {
    const basefog::strewn::Glass glass = draw_sheet(static_cast<Lie>(k), 1, 0);
    const basefog::scan::Scan scan = basefog::strewn::draw(glass);
    all.add(judge(glass, basefog::area::find_film(scan)));
  }
  EXPECT_GE(all.found, 0.98 * all.frames) << all.found << " of " << all.frames;
  EXPECT_EQ(all.invented, 0);
  EXPECT_EQ(all.silent, 0);
}

StrewnScore score_of(Lie lie, std::uint64_t seed, int number) {
  const basefog::strewn::Glass glass = draw_sheet(lie, seed, number);
  return judge(glass, basefog::area::find_film(basefog::strewn::draw(glass)));
}

// 630,000 blocks: put together by twos, gaps of 1 mm would be two cells wide, and none was found.
TEST(StrewnStudy, half_frames_are_found_on_sheets_of_more_blocks_than_usual) {
  const StrewnScore score = score_of(Lie::half_frames, 555001, 1);
  EXPECT_EQ(score.found, 35) << "of " << score.frames;
  EXPECT_EQ(score.invented, 0);
}

TEST(StrewnStudy, clear_frames_between_two_that_were_not_found_are_not_lost_in_silence) {
  const StrewnScore score = score_of(Lie::everything, 555001, 1);
  EXPECT_GT(score.lost, 0) << "shows nothing any more";
  EXPECT_EQ(score.silent, 0);
}

// Dark parts of masked film's pictures beside their mounts' edges, which were taken for frames.
TEST(StrewnStudy, dark_pictures_in_mounts_are_the_frames_and_not_the_mounts) {
  const StrewnScore score = score_of(Lie::mounted, 240611, 3);
  EXPECT_EQ(score.found, 6) << "of " << score.frames;
  EXPECT_EQ(score.invented, 0);
}

// Half of what lies around the film is light around a ruler, which is no frame either.
TEST(StrewnStudy, little_film_beside_a_ruler_is_told_from_light) {
  const StrewnScore score = score_of(Lie::everything, 870413, 2);
  EXPECT_EQ(score.found, 7) << "of " << score.frames;
  EXPECT_EQ(score.invented, 0);
}

// Cut frames at the ends of strips made the sheet's pictures look shorter than they are.
TEST(StrewnStudy, cut_frames_do_not_say_how_long_pictures_are) {
  const StrewnScore score = score_of(Lie::cut, 870413, 5);
  EXPECT_EQ(score.found, 9) << "of " << score.frames;
  EXPECT_EQ(score.invented, 0);
}

TEST(StrewnStudy, mounts_that_touch_are_two) {
  const StrewnScore score = score_of(Lie::mounted, 870413, 4);
  EXPECT_EQ(score.found, 9) << "of " << score.frames;
  EXPECT_EQ(score.invented, 0);
}

}  // namespace
}  // namespace validation
