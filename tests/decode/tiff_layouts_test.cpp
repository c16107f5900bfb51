// SPDX-License-Identifier: GPL-3.0-or-later
// Every layout in tests/data/tiff_layouts against the formula in its NOTICE.
#include <gmock/gmock.h>
#include <gtest/gtest.h>

#include <cmath>
#include <functional>
#include <string>

#include "basefog/core/error.hpp"
#include "basefog/scan/scan.hpp"

namespace basefog::decode {
namespace {

constexpr int kWidth = 96;
constexpr int kHeight = 64;
constexpr double kFull = 65535.0;

std::filesystem::path layout(const std::string& name) {
  return std::filesystem::path(BASEFOG_TEST_DATA) / "tiff_layouts" / (name + ".tif");
}

int gray(int x, int y) {
  return static_cast<int>(std::nearbyint(500 + 60000 * (x / 95.0) * (0.25 + 0.75 * y / 63.0)));
}

int colour(int channel, int x, int y) {
  constexpr double kFactor[] = {1.0, 0.6, 0.35};
  return static_cast<int>(gray(x, y) * kFactor[channel]);
}

/// One block a pixel.
scan::Scan read_pixels(const std::string& name) {
  scan::ReadOptions options;
  options.most_blocks = kWidth * kHeight;
  options.response = response::parse_response("linear");
  return scan::read_scan(layout(name), options);
}

using Truth = std::function<double(int channel, int x, int y)>;

void expect_pixels(const scan::Scan& scan, int channels, const Truth& truth,
                   double tolerance = 1e-7) {
  ASSERT_EQ(scan.blocks.block_side, 1);
  ASSERT_EQ(scan.blocks.channels, channels);
  ASSERT_EQ(scan.width, scan.blocks.width);
  ASSERT_EQ(scan.height, scan.blocks.height);
  double worst = 0;
  for (int c = 0; c < channels; ++c) {
    for (int y = 0; y < scan.height; ++y) {
      for (int x = 0; x < scan.width; ++x) {
        const double error = scan.blocks.mean[scan.blocks.index(c, x, y)] - truth(c, x, y);
        worst = std::max(worst, std::abs(error));
      }
    }
  }
  EXPECT_LE(worst, tolerance) << scan.path;
}

Truth gray_truth() {
  return [](int, int x, int y) { return gray(x, y) / kFull; };
}

class GrayLayout : public testing::TestWithParam<std::string> {};

TEST_P(GrayLayout, IsExact) {
  const scan::Scan scan = read_pixels(GetParam());
  EXPECT_EQ(scan.width, kWidth);
  EXPECT_EQ(scan.height, kHeight);
  EXPECT_EQ(scan.format, "TIFF");
  EXPECT_FALSE(scan.flags.contains(Flag::partial_file));
  expect_pixels(scan, 1, gray_truth());
}

INSTANTIATE_TEST_SUITE_P(All, GrayLayout,
                         testing::Values("gray16_minisblack", "gray16_miniswhite",
                                         "gray16_bigendian", "gray16_tiled32", "gray16_bigtiff",
                                         "gray16_deflate_pred2", "gray16_icc_linear",
                                         "gray_float32", "gray16_orientation1",
                                         "multipage_thumb_first", "multipage_6frames"),
                         [](const auto& name) { return name.param; });

class ColourLayout : public testing::TestWithParam<std::string> {};

TEST_P(ColourLayout, IsExact) {
  const scan::Scan scan = read_pixels(GetParam());
  expect_pixels(scan, 3, [](int c, int x, int y) { return colour(c, x, y) / kFull; });
}

INSTANTIATE_TEST_SUITE_P(All, ColourLayout,
                         testing::Values("rgb16_contig", "rgb16_planar_separate",
                                         "rgb16_tiled_planar_bigtiff", "rgb16_icc_linear",
                                         "rgbi16_extrasample_unspecified", "rgba16_unassoc_alpha"),
                         [](const auto& name) { return name.param; });

TEST(TiffLayouts, EightBitIsExactAndFlagged) {
  const scan::Scan one = read_pixels("gray8_minisblack");
  expect_pixels(one, 1, [](int, int x, int y) { return (gray(x, y) >> 8) / 255.0; });
  EXPECT_TRUE(one.flags.contains(Flag::eight_bit));
  EXPECT_EQ(one.bits_per_sample, 8);
  const scan::Scan three = read_pixels("rgb8_contig");
  expect_pixels(three, 3, [](int c, int x, int y) { return (colour(c, x, y) >> 8) / 255.0; });
}

TEST(TiffLayouts, OrientationIsAppliedToTheBlocks) {
  // Where the stored pixel (x, y) ends up [TIFF6, Orientation].
  const int w = kWidth - 1;
  const int h = kHeight - 1;
  const Truth stored = gray_truth();
  const Truth upright[] = {
      stored,
      [&](int c, int x, int y) { return stored(c, w - x, y); },
      [&](int c, int x, int y) { return stored(c, w - x, h - y); },
      [&](int c, int x, int y) { return stored(c, x, h - y); },
      [&](int c, int x, int y) { return stored(c, y, x); },
      [&](int c, int x, int y) { return stored(c, y, h - x); },
      [&](int c, int x, int y) { return stored(c, w - y, h - x); },
      [&](int c, int x, int y) { return stored(c, w - y, x); },
  };
  for (int orientation = 1; orientation <= 8; ++orientation) {
    const scan::Scan scan = read_pixels("gray16_orientation" + std::to_string(orientation));
    EXPECT_EQ(scan.width, orientation <= 4 ? kWidth : kHeight);
    expect_pixels(scan, 1, upright[orientation - 1]);
  }
}

TEST(TiffLayouts, PartialBlocksStandAtTheRightAndLowerEdgeWhateverTheOrientation) {
  for (int orientation = 1; orientation <= 8; ++orientation) {
    SCOPED_TRACE(orientation);
    const auto name = "gray16_orientation" + std::to_string(orientation);
    const scan::Scan pixels = read_pixels(name);
    scan::ReadOptions options;
    options.response = response::parse_response("linear");
    options.most_blocks = 200;  // side 6: no divisor of 64
    const BlockImage blocks = scan::read_scan(layout(name), options).blocks;
    ASSERT_EQ(blocks.block_side, 6);
    ASSERT_EQ(blocks.width, (pixels.width + 5) / 6);
    ASSERT_EQ(blocks.height, (pixels.height + 5) / 6);
    for (int by = 0; by < blocks.height; ++by) {
      for (int bx = 0; bx < blocks.width; ++bx) {
        double sum = 0;
        double squares = 0;
        int count = 0;
        for (int y = by * 6; y < std::min(by * 6 + 6, pixels.height); ++y) {
          for (int x = bx * 6; x < std::min(bx * 6 + 6, pixels.width); ++x) {
            const double light = pixels.blocks.mean[pixels.blocks.index(0, x, y)];
            sum += light;
            squares += light * light;
            ++count;
          }
        }
        const double mean = sum / count;
        ASSERT_NEAR(blocks.mean[blocks.index(0, bx, by)], mean, 1e-6 * mean);
        const double variance = (squares - sum * mean) / (count - 1);
        ASSERT_NEAR(blocks.variance[blocks.index(0, bx, by)], variance, 1e-4 * variance + 1e-12);
      }
    }
  }
}

TEST(TiffLayouts, InfraredPlaneIsIgnoredAndSaid) {
  EXPECT_TRUE(read_pixels("rgbi16_extrasample_unspecified").flags.contains(Flag::infrared_ignored));
  EXPECT_FALSE(read_pixels("rgba16_unassoc_alpha").flags.contains(Flag::infrared_ignored));
}

TEST(TiffLayouts, EqualPagesAreSaid) {
  EXPECT_TRUE(read_pixels("multipage_6frames").flags.contains(Flag::other_pages_ignored));
  EXPECT_FALSE(read_pixels("multipage_thumb_first").flags.contains(Flag::other_pages_ignored));
}

TEST(TiffLayouts, ClippedAndFlooredPixelsAreCounted) {
  scan::ReadOptions options;
  options.response = response::parse_response("linear");
  options.most_blocks = 24 * 16;  // 4 x 4 pixels a block: half of them 0, half full
  const BlockImage blocks = scan::read_scan(layout("gray16_zero_and_full"), options).blocks;
  ASSERT_EQ(blocks.block_side, 4);
  EXPECT_THAT(blocks.mean, testing::Each(testing::FloatEq(0.5F)));
  EXPECT_THAT(blocks.clipped, testing::Each(127));
  EXPECT_THAT(blocks.floored, testing::Each(127));
}

TEST(TiffLayouts, TruncatedFileGivesTheRowsThatAreThere) {
  const scan::Scan scan = read_pixels("gray16_truncated");
  EXPECT_TRUE(scan.flags.contains(Flag::partial_file));
  EXPECT_EQ(scan.width, kWidth);
  EXPECT_LT(scan.height, 39);  // six tenths of 64 rows
  EXPECT_GT(scan.height, 0);
  expect_pixels(scan, 1, gray_truth());
}

TEST(TiffLayouts, EmbeddedProfilesGiveTheSameLight) {
  scan::ReadOptions options;
  options.most_blocks = kWidth * kHeight;
  const scan::Scan gamma = scan::read_scan(layout("gray16_icc_gamma22"), options);
  EXPECT_EQ(gamma.response.kind, response::ResponseKind::icc);
  EXPECT_FALSE(gamma.flags.contains(Flag::response_assumed));
  // Half a code of the encoded file, at the steepest part of the curve.
  expect_pixels(gamma, 1, gray_truth(), 2.2 * 0.6 / kFull);
  expect_pixels(scan::read_scan(layout("gray16_icc_linear"), options), 1, gray_truth(), 1e-6);
}

TEST(TiffLayouts, NothingDeclaredIsAssumedLinearAndFlagged) {
  scan::ReadOptions options;
  options.most_blocks = kWidth * kHeight;
  const scan::Scan scan = scan::read_scan(layout("gray16_minisblack"), options);
  EXPECT_TRUE(scan.flags.contains(Flag::response_assumed));
  EXPECT_EQ(scan.response.source.kind, response::SourceKind::assumed_tiff);
  expect_pixels(scan, 1, gray_truth());
}

void expect_refused(const std::string& name, const std::string& because) {
  try {
    read_pixels(name);
    FAIL() << name << " was read";
  } catch (const InputError& error) {
    EXPECT_EQ(error.code(), ErrorCode::unsupported);
    EXPECT_THAT(error.problem(), testing::HasSubstr(because));
    EXPECT_THAT(error.what(), testing::HasSubstr(name));
  }
}

TEST(TiffLayouts, InksAndLineArtAreRefusedByName) {
  expect_refused("cmyk16", "CMYK");
  expect_refused("bilevel1", "1 bit");
}

}  // namespace
}  // namespace basefog::decode
