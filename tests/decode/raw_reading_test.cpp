// SPDX-License-Identifier: GPL-3.0-or-later
#include <dlfcn.h>
#include <gmock/gmock.h>
#include <gtest/gtest.h>
#include <libraw/libraw.h>
#include <tiffio.h>

#include <array>
#include <cmath>
#include <cstdlib>
#include <filesystem>
#include <fstream>
#include <memory>
#include <sstream>
#include <thread>

#include "basefog/core/error.hpp"
#include "basefog/scan/scan.hpp"
#include "makers/dng_writer.hpp"
#include "test_folder.hpp"

namespace basefog::decode {
namespace {

using test::DngLayout;
using test::write_dng;

std::filesystem::path wedge_path() {
  return std::filesystem::path(BASEFOG_TEST_DATA) / "raw" / "synthetic_wedge.dng";
}

scan::Scan read_pixels(const std::filesystem::path& path) {
  scan::ReadOptions options;
  options.most_blocks = 1'000'000;
  return scan::read_scan(path, options);
}

/// Codes of an invented sensor, all different enough to tell any two sites apart.
std::vector<std::uint16_t> codes_for(const DngLayout& layout) {
  std::vector<std::uint16_t> codes;
  for (int y = 0; y < layout.height; ++y) {
    for (int x = 0; x < layout.width; ++x) {
      for (int s = 0; s < layout.samples; ++s)
        codes.push_back(static_cast<std::uint16_t>(600 + (x * 131 + y * 37 + s * 4001) % 15000));
    }
  }
  return codes;
}

double light(const DngLayout& layout, double code) {
  const double black = layout.black;
  return (code - black) / (layout.white - black);
}

void expect_cells(const scan::Scan& scan, const DngLayout& layout,
                  const std::vector<std::uint16_t>& codes) {
  ASSERT_EQ(scan.width, layout.width / 2);
  ASSERT_EQ(scan.height, layout.height / 2);
  ASSERT_EQ(scan.blocks.channels, 3);
  const auto code = [&](int x, int y) {
    return codes[static_cast<std::size_t>(y) * layout.width + x];
  };
  for (int y = 0; y < scan.height; ++y) {
    for (int x = 0; x < scan.width; ++x) {
      const double expected[] = {
          light(layout, code(2 * x, 2 * y)),
          light(layout, 0.5 * (code(2 * x + 1, 2 * y) + code(2 * x, 2 * y + 1))),
          light(layout, code(2 * x + 1, 2 * y + 1))};
      for (int c = 0; c < 3; ++c)
        ASSERT_NEAR(scan.blocks.mean[scan.blocks.index(c, x, y)], expected[c], 2e-7)
            << c << " at " << x << ", " << y;
    }
  }
}

void expect_linear(const scan::Scan& scan, const DngLayout& layout,
                   const std::vector<std::uint16_t>& codes) {
  ASSERT_EQ(scan.width, layout.width);
  ASSERT_EQ(scan.height, layout.height);
  ASSERT_EQ(scan.blocks.channels, layout.samples == 1 ? 1 : 3);
  for (int c = 0; c < scan.blocks.channels; ++c) {
    for (int y = 0; y < scan.height; ++y) {
      for (int x = 0; x < scan.width; ++x) {
        const std::size_t place =
            (static_cast<std::size_t>(y) * layout.width + x) * layout.samples + c;
        ASSERT_NEAR(scan.blocks.mean[scan.blocks.index(c, x, y)], light(layout, codes[place]), 2e-7)
            << c << " at " << x << ", " << y;
      }
    }
  }
}

TEST(RawReading, SyntheticWedgeIsExact) {
  const scan::Scan scan = read_pixels(wedge_path());
  ASSERT_EQ(scan.width, 180);
  ASSERT_EQ(scan.height, 120);
  ASSERT_EQ(scan.blocks.block_side, 1);
  EXPECT_EQ(scan.format, "DNG");
  EXPECT_EQ(scan.bits_per_sample, 14);
  EXPECT_EQ(scan.response.kind, response::ResponseKind::linear);
  EXPECT_FALSE(scan.flags.contains(Flag::response_assumed));
  const auto code = [](int column, double k) {
    return std::nearbyint(512 + 15871 * k * std::pow(10.0, -2.4 * column / 360));
  };
  const auto at = [](double c) { return (c - 512) / 15871; };
  for (int y = 0; y < scan.height; ++y) {
    for (int x = 0; x < scan.width; ++x) {
      const double expected[] = {at(code(2 * x, 0.9)),
                                 at(0.5 * (code(2 * x, 0.55) + code(2 * x + 1, 0.55))),
                                 at(code(2 * x + 1, 0.3))};
      for (int c = 0; c < 3; ++c)
        ASSERT_NEAR(scan.blocks.mean[scan.blocks.index(c, x, y)], expected[c], 1e-7);
    }
  }
}

/// Every pixel against LibRaw's own unpacked sensor image of a Bayer file, without any processing:
/// the mean of a cell's sites of a colour, black off, over saturation.
void expect_unprocessed(const std::filesystem::path& path, unsigned black, unsigned white) {
  const auto raw = std::make_unique<LibRaw>();
  ASSERT_EQ(raw->open_file(path.c_str()), LIBRAW_SUCCESS);
  ASSERT_EQ(raw->unpack(), LIBRAW_SUCCESS);
  const auto& sizes = raw->imgdata.sizes;
  ASSERT_NE(raw->imgdata.rawdata.raw_image, nullptr);
  scan::ReadOptions options;
  options.most_blocks = sizes.width * sizes.height;
  const scan::Scan scan = scan::read_scan(path, options);
  ASSERT_EQ(scan.blocks.block_side, 1);
  ASSERT_EQ(scan.width, sizes.width / 2);
  ASSERT_EQ(scan.height, sizes.height / 2);
  double worst = 0;
  for (int y = 0; y < scan.height; ++y) {
    for (int x = 0; x < scan.width; ++x) {
      std::array<double, 3> sum{};
      std::array<int, 3> sites{};
      for (int site = 0; site < 4; ++site) {
        const int row = 2 * y + site / 2;
        const int column = 2 * x + site % 2;
        const int colour = raw->COLOR(row, column);
        const std::size_t place =
            static_cast<std::size_t>(row + sizes.top_margin) * (sizes.raw_pitch / 2) +
            sizes.left_margin + column;
        sum[colour == 3 ? 1 : colour] += raw->imgdata.rawdata.raw_image[place];
        ++sites[colour == 3 ? 1 : colour];
      }
      for (int c = 0; c < 3; ++c) {
        // A block's mean is never below no light, which noise about black may be.
        const double light = (sum[c] / sites[c] - black) / (white - black);
        worst = std::max(
            worst, std::abs(scan.blocks.mean[scan.blocks.index(c, x, y)] - std::max(0.0, light)));
      }
    }
  }
  EXPECT_LT(worst, 3e-7);  // a two-hundredth of a code of 14 bits
}

TEST(RawReading, AgreesWithTheUnprocessedSensorImage) {
  expect_unprocessed(wedge_path(), 512, 16383);
}

TEST(RawReading, RealFileAgreesWithTheUnprocessedSensorImage) {
  // Real files are too large to keep: BASEFOG_BAYER_FILE=FILE:BLACK:WHITE, the levels as exiftool
  // prints them.
  const char* named = std::getenv("BASEFOG_BAYER_FILE");
  if (named == nullptr) GTEST_SKIP() << "BASEFOG_BAYER_FILE names no file";
  std::istringstream words(named);
  std::string path;
  unsigned black = 0;
  unsigned white = 0;
  char colon = 0;
  ASSERT_TRUE(std::getline(words, path, ':') && words >> black >> colon >> white) << named;
  expect_unprocessed(path, black, white);
}

TEST(RawReading, BrightestPixelDoesNotChangeTheScale) {
  // LibRaw's own processing stretches a frame to its brightest pixel (adjust_maximum_thr): the same
  // code must mean the same light whether or not another pixel is bright.
  DngLayout layout{.width = 32, .height = 32};
  std::vector<std::uint16_t> codes(32 * 32, 4000);
  const scan::Scan plain = read_pixels(write_dng("plain", layout, codes));
  codes[0] = 13000;
  const scan::Scan bright = read_pixels(write_dng("bright", layout, codes));
  EXPECT_FLOAT_EQ(plain.blocks.mean.back(), static_cast<float>(light(layout, 4000)));
  EXPECT_EQ(plain.blocks.mean.back(), bright.blocks.mean.back());
}

TEST(RawReading, TiledMosaicIsNotScrambled) {
  const DngLayout layout{.width = 50, .height = 38, .tile = 16};
  const auto codes = codes_for(layout);
  expect_cells(read_pixels(write_dng("tiled_mosaic", layout, codes)), layout, codes);
}

TEST(RawReading, MosaicInStripsWithThumbnailFirst) {
  const DngLayout layout{.width = 50, .height = 38, .thumbnail = true};
  const auto codes = codes_for(layout);
  expect_cells(read_pixels(write_dng("strip_mosaic", layout, codes)), layout, codes);
}

TEST(RawReading, DeflatedMosaic) {
  const DngLayout layout{.width = 50, .height = 38, .compression = COMPRESSION_ADOBE_DEFLATE};
  const auto codes = codes_for(layout);
  expect_cells(read_pixels(write_dng("deflated_mosaic", layout, codes)), layout, codes);
}

TEST(RawReading, LinearDngInEveryLayout) {
  int number = 0;
  for (const int samples : {1, 3, 4}) {
    for (const bool planar : {false, true}) {
      for (const int tile : {0, 16}) {
        const DngLayout layout{.width = 37,
                               .height = 29,
                               .samples = samples,
                               .linear = true,
                               .planar = planar,
                               .tile = tile,
                               .thumbnail = samples == 3};
        SCOPED_TRACE(testing::Message() << samples << planar << tile);
        const auto codes = codes_for(layout);
        const scan::Scan scan =
            read_pixels(write_dng("linear" + std::to_string(number++), layout, codes));
        EXPECT_EQ(scan.format, "DNG");
        EXPECT_EQ(scan.flags.contains(Flag::infrared_ignored), samples == 4);
        expect_linear(scan, layout, codes);
      }
    }
  }
}

TEST(RawReading, OrientationOfTheFirstDirectoryCounts) {
  const DngLayout layout{.width = 48, .height = 32, .orientation = 6, .thumbnail = true};
  const auto codes = codes_for(layout);
  const scan::Scan scan = read_pixels(write_dng("turned", layout, codes));
  EXPECT_EQ(scan.width, 16);
  EXPECT_EQ(scan.height, 24);
  // The first stored row is the right side; red of the upper right pixel is the first site.
  EXPECT_NEAR(scan.blocks.mean[scan.blocks.index(0, 15, 0)], light(layout, codes[0]), 1e-7);
}

TEST(RawReading, SaturatedSitesAreCountedAsClipped) {
  DngLayout layout{.width = 32, .height = 32};
  std::vector<std::uint16_t> codes(32 * 32, 4000);
  codes[1] = 16383;  // one of the two greens of the first cell
  const scan::Scan scan = read_pixels(write_dng("saturated", layout, codes));
  EXPECT_EQ(scan.blocks.clipped[scan.blocks.index(1, 0, 0)], 255);
  EXPECT_EQ(scan.blocks.clipped[scan.blocks.index(0, 0, 0)], 0);
  EXPECT_EQ(scan.blocks.clipped[scan.blocks.index(1, 1, 0)], 0);
}

TEST(RawReading, LibRawStartsNoThreadsOfItsOwn) {
  // Its parallel decoders would take all cores for each reader. OpenMP keeps the number by thread.
  using MostThreads = int (*)();
  const auto most = reinterpret_cast<MostThreads>(dlsym(RTLD_DEFAULT, "omp_get_max_threads"));
  if (most == nullptr) GTEST_SKIP() << "LibRaw was built without OpenMP";
  int threads = 0;
  std::thread([&] {
    read_pixels(wedge_path());
    threads = most();
  }).join();
  EXPECT_EQ(threads, 1);
}

TEST(RawReading, CutFileIsRefusedInOneSentence) {
  std::ifstream in(wedge_path(), std::ios::binary);
  std::string bytes((std::istreambuf_iterator<char>(in)), {});
  const std::string path = test::test_folder() / "cut.dng";
  std::ofstream(path, std::ios::binary) << bytes.substr(0, bytes.size() / 2);
  try {
    read_pixels(path);
    FAIL();
  } catch (const InputError& error) {
    EXPECT_EQ(error.code(), ErrorCode::unreadable);
    EXPECT_THAT(error.problem(), testing::HasSubstr("cut short"));
  }
}

}  // namespace
}  // namespace basefog::decode
