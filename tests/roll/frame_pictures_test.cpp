// SPDX-License-Identifier: GPL-3.0-or-later
#include "basefog/roll/frame_pictures.hpp"

#include <gtest/gtest.h>

#include <cmath>
#include <map>
#include <mutex>
#include <stdexcept>

#include "makers/scan_writer.hpp"

namespace basefog::roll {
namespace {

constexpr int kFrameWidth = 240;
constexpr int kFrameHeight = 160;
constexpr int kColumns = 3;
constexpr int kRows = 2;
constexpr int kGap = 20;

/// Lines a pixel wide, which a reduced picture cannot hold, and a tone of each frame's own.
double transmittance(int frame, int x) { return (x % 2 == 0 ? 0.5 : 0.125) / (1 + frame); }

/// A sheet of six frames, and what a first pass that kept 60 pixels of each would know of it.
Analysis sheet(const std::string& name) {
  const int width = kColumns * (kFrameWidth + kGap) + kGap;
  const int height = kRows * (kFrameHeight + kGap) + kGap;
  std::vector<std::uint16_t> codes(static_cast<std::size_t>(width) * height, 0);
  Analysis analysis;
  for (int frame = 0; frame < kColumns * kRows; ++frame) {
    const int left = kGap + frame % kColumns * (kFrameWidth + kGap);
    const int top = kGap + frame / kColumns * (kFrameHeight + kGap);
    for (int y = 0; y < kFrameHeight; ++y) {
      for (int x = 0; x < kFrameWidth; ++x) {
        codes[static_cast<std::size_t>(top + y) * width + left + x] =
            static_cast<std::uint16_t>(65535 * transmittance(frame, x));
      }
    }
    density::FrameMeasurement m;
    m.index = frame;
    m.region = {left + kFrameWidth / 2.0, top + kFrameHeight / 2.0, kFrameWidth, kFrameHeight, 0};
    m.negative = {60, 40, 1, std::vector<std::uint16_t>(2400, 500)};
    m.response = response::parse_response("linear");
    analysis.frames.push_back({.measurement = m});
  }
  const std::string file = test::write_tiff(name, {.width = width, .height = height}, codes);
  for (FrameResult& frame : analysis.frames) frame.measurement.file = file;
  return analysis;
}

std::map<std::size_t, density::NegativePicture> pictures_of(const Analysis& analysis, int side) {
  std::map<std::size_t, density::NegativePicture> pictures;
  std::mutex lock;
  for_each_picture(analysis, side, [&](std::size_t i, const density::NegativePicture& picture) {
    const std::lock_guard guard(lock);
    EXPECT_FALSE(pictures.contains(i)) << "twice";
    pictures[i] = picture;
  });
  EXPECT_EQ(pictures.size(), analysis.frames.size());
  return pictures;
}

TEST(FramePictures, of_a_sheet_are_its_own_pixels) {
  const Analysis analysis = sheet("sheet.tif");
  for (const auto& [i, picture] : pictures_of(analysis, 1200)) {
    ASSERT_EQ(picture.width, kFrameWidth);
    ASSERT_EQ(picture.height, kFrameHeight);
    for (int x = 0; x < kFrameWidth; ++x) {
      const double density = -std::log10(transmittance(static_cast<int>(i), x));
      ASSERT_NEAR(picture.millidensity[static_cast<std::size_t>(50) * kFrameWidth + x],
                  1000 * density, 1.5)
          << "frame " << i;
    }
    const LargerPicture size = larger_picture(analysis, i, 1200);
    EXPECT_TRUE(size.larger);
    EXPECT_EQ(size.width, picture.width);
    EXPECT_EQ(size.height, picture.height);
  }
}

TEST(FramePictures, are_no_larger_than_asked_for) {
  const Analysis analysis = sheet("sheet.tif");
  const auto some = pictures_of(analysis, 120);
  EXPECT_EQ(some.at(4).width, 120);
  EXPECT_EQ(some.at(4).height, 80);
  // The kept one is large enough: the file is not read, and its flat tone shows that.
  EXPECT_EQ(pictures_of(analysis, 60).at(4).millidensity.front(), 500);
  EXPECT_EQ(picture_of_frame(analysis, 4, 120).millidensity, some.at(4).millidensity);
}

TEST(FramePictures, are_the_kept_ones_where_the_file_is_gone_or_another) {
  Analysis analysis = sheet("sheet.tif");
  for (FrameResult& frame : analysis.frames) frame.measurement.file = "no/such/scan.tif";
  EXPECT_EQ(pictures_of(analysis, 1200).at(2).width, 60);

  // Colour by now, or measured against a lamp that nobody names: not the measured densities.
  analysis = sheet("sheet.tif");
  analysis.frames[0].measurement.light_known = true;
  EXPECT_EQ(picture_of_frame(analysis, 0, 1200).width, 60);
  analysis.frames[1].measurement.response = {};
  analysis.frames[1].measurement.response.kind = response::ResponseKind::calibrated;
  EXPECT_EQ(picture_of_frame(analysis, 1, 1200).width, 60);
  analysis.frames[2].measurement.flags = {Flag::partial_file};
  EXPECT_EQ(picture_of_frame(analysis, 2, 1200).width, 60);
}

TEST(FramePictures, hand_on_what_the_taker_throws) {
  const Analysis analysis = sheet("sheet.tif");
  EXPECT_THROW(for_each_picture(analysis, 1200,
                                [](std::size_t, const density::NegativePicture&) {
                                  throw std::runtime_error("disk full");
                                }),
               std::runtime_error);
}

}  // namespace
}  // namespace basefog::roll
