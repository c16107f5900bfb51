// SPDX-License-Identifier: GPL-3.0-or-later
#include <gtest/gtest.h>

#include "basefog/scan/scan.hpp"

namespace basefog::scan {
namespace {

TEST(FrameLabel, IsTheLastShortNumberOfTheName) {
  EXPECT_EQ(frame_label("roll12_07.tif"), "7");
  EXPECT_EQ(frame_label("/scans/roll 3/frame-36.tiff"), "36");
  EXPECT_EQ(frame_label("07.dng"), "7");
  EXPECT_EQ(frame_label("img0042.tif"), "42");
  EXPECT_EQ(frame_label("00.tif"), "0");
  EXPECT_EQ(frame_label("12_16bit.tif"), "12");
}

TEST(FrameLabel, KeepsTheHalfNumbersOfTheFilmEdge) {
  EXPECT_EQ(frame_label("07A.tif"), "7A");
  EXPECT_EQ(frame_label("roll12_7a.tif"), "7A");
  EXPECT_EQ(frame_label("7b.tif"), "7");
}

TEST(FrameLabel, IsEmptyWhereNoNumberIsAFrame) {
  EXPECT_EQ(frame_label("lighthouse.tif"), "");
  EXPECT_EQ(frame_label("2024-05-12_16-30-22.tif"), "");
  EXPECT_EQ(frame_label("20240512.tif"), "");
  EXPECT_EQ(frame_label("DSC01234.tif"), "");
  EXPECT_EQ(frame_label("roll12.tif"), "");
}

TEST(ScanExtension, IsKnownInAnyCase) {
  EXPECT_TRUE(has_scan_extension("a.TIF"));
  EXPECT_TRUE(has_scan_extension("a.tiff"));
  EXPECT_TRUE(has_scan_extension("a.Dng"));
  EXPECT_FALSE(has_scan_extension("log.csv"));
  EXPECT_FALSE(has_scan_extension("tif"));
}

}  // namespace
}  // namespace basefog::scan
