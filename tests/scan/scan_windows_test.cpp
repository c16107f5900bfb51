// SPDX-License-Identifier: GPL-3.0-or-later
#include "scan/scan_windows.hpp"

#include <gtest/gtest.h>

#include <map>
#include <random>

#include "basefog/core/error.hpp"
#include "makers/scan_writer.hpp"

namespace basefog::scan {
namespace {

using namespace test;

constexpr int kWidth = 47;
constexpr int kHeight = 31;

std::string write_noise(const std::string& name, int samples, int orientation) {
  std::minstd_rand random(5);
  std::vector<std::uint16_t> codes;
  for (int i = 0; i < kWidth * kHeight * samples; ++i) {
    codes.push_back(static_cast<std::uint16_t>(random() % 65536));
  }
  return write_tiff(name,
                    {.width = kWidth,
                     .height = kHeight,
                     .samples = samples,
                     .photometric = samples == 3 ? 2 : 1,
                     .orientation = orientation},
                    codes);
}

ReadOptions linear() {
  ReadOptions options;
  options.response = response::parse_response("linear");
  return options;
}

std::map<std::size_t, WindowRead> windows_of(const std::string& file, const ReadOptions& options,
                                             int side, const std::vector<ScanWindow>& windows) {
  std::map<std::size_t, WindowRead> read;
  read_windows(file, options, side, windows,
               [&](std::size_t i, const WindowRead& window) { read[i] = window; });
  return read;
}

/// Pixel by pixel, against the whole scan as it is read for measuring, whichever way it is turned.
TEST(ScanWindows, AreTheScansOwnPixels) {
  const std::vector<ScanWindow> asked{{3.4, 2.2, 12.7, 20.9}, {10, 8, 31, 31}, {0, 0, 5, 5}};
  for (const int samples : {1, 3}) {
    for (int orientation = 1; orientation <= 8; ++orientation) {
      const std::string file = write_noise("noise.tif", samples, orientation);
      const Scan whole = read_scan(file, linear());  // few pixels: blocks of one
      ASSERT_EQ(whole.blocks.block_side, 1);
      const auto read = windows_of(file, linear(), 1, asked);
      ASSERT_EQ(read.size(), asked.size()) << orientation;
      EXPECT_EQ(read.at(0).left, 3);
      EXPECT_EQ(read.at(0).top, 2);
      EXPECT_EQ(read.at(0).blocks.width, 10);
      EXPECT_EQ(read.at(0).blocks.height, 19);
      for (const auto& [i, window] : read) {
        for (int c = 0; c < samples; ++c) {
          for (int y = 0; y < window.blocks.height; ++y) {
            for (int x = 0; x < window.blocks.width; ++x) {
              ASSERT_EQ(window.blocks.mean[window.blocks.index(c, x, y)],
                        whole.blocks.mean[whole.blocks.index(c, x + window.left, y + window.top)])
                  << "orientation " << orientation << " window " << i;
            }
          }
        }
      }
    }
  }
}

TEST(ScanWindows, HaveBlocksWhereTheScanHasThem) {
  const std::string file = write_noise("noise.tif", 1, 6);
  const auto read = windows_of(file, linear(), 4, {{9, 9, 20, 20}});
  ASSERT_EQ(read.size(), 1U);
  const decode::BlockImage& blocks = read.at(0).blocks;
  EXPECT_EQ(read.at(0).left, 8);
  EXPECT_EQ(blocks.width, 3);
  const Scan whole = read_scan(file, linear());
  double sum = 0;
  for (int y = 8; y < 12; ++y) {
    for (int x = 12; x < 16; ++x) sum += whole.blocks.mean[whole.blocks.index(0, x, y)];
  }
  EXPECT_NEAR(blocks.mean[blocks.index(0, 1, 0)], sum / 16, 1e-6);
}

TEST(ScanWindows, OffTheScanAreCutOrNotThere) {
  const std::string file = write_noise("noise.tif", 1, 1);
  const auto read = windows_of(file, linear(), 2, {{-10, -10, 4, 4}, {60, 5, 80, 9}});
  ASSERT_TRUE(read.contains(0));
  EXPECT_EQ(read.at(0).left, 0);
  EXPECT_EQ(read.at(0).blocks.width, 2);
  EXPECT_TRUE(!read.contains(1) || read.at(1).blocks.mean.empty());
  EXPECT_THROW(windows_of(temporary("none.tif"), linear(), 2, {{0, 0, 4, 4}}), InputError);
}

/// Film of one density under an uneven lamp is even once the lamp is divided out.
TEST(ScanWindows, AreDividedByTheLight) {
  std::vector<std::uint16_t> lamp, film;
  for (int y = 0; y < kHeight; ++y) {
    for (int x = 0; x < kWidth; ++x) {
      lamp.push_back(static_cast<std::uint16_t>(50000 * (1 - 0.5 * x / kWidth)));
      film.push_back(static_cast<std::uint16_t>(0.25 * lamp.back()));
    }
  }
  for (const int orientation : {1, 6}) {
    const TiffLayout layout{.width = kWidth, .height = kHeight, .orientation = orientation};
    ReadOptions options = linear();
    options.light = write_tiff("lamp.tif", layout, lamp);
    const auto read =
        windows_of(write_tiff("film.tif", layout, film), options, 1, {{2, 3, 20, 30}});
    ASSERT_EQ(read.size(), 1U);
    for (const float light : read.at(0).blocks.mean) ASSERT_NEAR(light, 0.25, 1e-4);
  }
}

}  // namespace
}  // namespace basefog::scan
