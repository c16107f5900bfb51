// SPDX-License-Identifier: GPL-3.0-or-later
// JPEG, PNG, alpha, memory, and files that are not what they say.
#include <gmock/gmock.h>
#include <gtest/gtest.h>
#include <sys/resource.h>
#include <tiffio.h>

#include <cmath>
#include <cstring>
#include <utility>

#include "basefog/core/error.hpp"
#include "basefog/scan/scan.hpp"
#include "makers/scan_writer.hpp"
#include "test_folder.hpp"

namespace basefog::scan {
namespace {

using namespace test;

constexpr double kFull = 65535.0;

Scan read_pixels(const std::string& path, const char* response = nullptr) {
  ReadOptions options;
  options.most_blocks = 1'000'000;
  if (response != nullptr) options.response = response::parse_response(response);
  return read_scan(path, options);
}

void expect_error(const std::string& path, ErrorCode code, const std::string& because) {
  try {
    read_pixels(path);
    FAIL() << path << " was read";
  } catch (const InputError& error) {
    EXPECT_EQ(error.code(), code) << error.what();
    EXPECT_THAT(error.problem(), testing::HasSubstr(because));
    EXPECT_THAT(error.what(), testing::Not(testing::HasSubstr("\n")));
  }
}

std::vector<std::uint16_t> ramp(int count, int step) {
  std::vector<std::uint16_t> codes(count);
  for (int i = 0; i < count; ++i) codes[i] = static_cast<std::uint16_t>(i * step % 65536);
  return codes;
}

TEST(PngReading, SixteenBitColourIsExact) {
  for (const bool interlaced : {false, true}) {
    const auto codes = ramp(20 * 10 * 3, 109);
    const Scan scan = read_pixels(
        write_png("colour.png", {.width = 20, .height = 10, .interlaced = interlaced}, codes),
        "linear");
    EXPECT_EQ(scan.format, "PNG");
    EXPECT_FALSE(scan.flags.contains(Flag::eight_bit));
    for (int i = 0; i < 20 * 10; ++i) {
      for (int c = 0; c < 3; ++c)
        ASSERT_FLOAT_EQ(scan.blocks.mean[c * 200 + i],
                        static_cast<float>(codes[i * 3 + c] / kFull));
    }
  }
}

TEST(PngReading, AlphaIsIgnored) {
  const auto codes = ramp(8 * 8 * 2, 500);
  const Scan scan = read_pixels(
      write_png("alpha.png", {.width = 8, .height = 8, .colour_type = 4}, codes), "linear");
  EXPECT_EQ(scan.blocks.channels, 1);
  for (int i = 0; i < 64; ++i)
    ASSERT_FLOAT_EQ(scan.blocks.mean[i], static_cast<float>(codes[2 * i] / kFull));
}

TEST(PngReading, DeclaredGammaAndSrgbAreUsed) {
  const std::vector<std::uint16_t> codes(64, 32768);
  PngLayout layout{.width = 8, .height = 8, .colour_type = 0, .gamma = 1 / 2.2};
  const Scan gamma = read_pixels(write_png("gamma.png", layout, codes));
  EXPECT_FALSE(gamma.flags.contains(Flag::response_assumed));
  EXPECT_NEAR(gamma.blocks.mean[0], std::pow(32768 / kFull, 2.2), 2e-5);
  layout.gamma.reset();
  layout.srgb = true;
  const Scan srgb = read_pixels(write_png("srgb.png", layout, codes));
  EXPECT_NEAR(srgb.blocks.mean[0], 0.21405, 2e-5);  // code 0.5 [IEC61966-2-1]
}

TEST(PngReading, CutFileGivesItsRows) {
  std::vector<std::uint16_t> codes;  // noise, which does not compress
  std::uint32_t state = 1;
  for (int i = 0; i < 64 * 64 * 3; ++i)
    codes.push_back(static_cast<std::uint16_t>((state = state * 1664525 + 1013904223) >> 16));
  const std::string whole = bytes_of(write_png("whole.png", {.width = 64, .height = 64}, codes));
  const Scan scan =
      read_pixels(write_bytes("cut.png", whole.substr(0, whole.size() / 2)), "linear");
  EXPECT_TRUE(scan.flags.contains(Flag::partial_file));
  EXPECT_GT(scan.height, 10);
  EXPECT_LT(scan.height, 40);
  for (int i = 0; i < 64 * scan.height; ++i)
    ASSERT_FLOAT_EQ(scan.blocks.mean[i], static_cast<float>(codes[i * 3] / kFull));
}

TEST(JpegReading, EvenGrayIsExactAndFlagged) {
  const Scan scan =
      read_pixels(write_jpeg("gray.jpg", 32, 24, 1, std::vector<std::uint8_t>(32 * 24, 188)));
  EXPECT_EQ(scan.format, "JPEG");
  EXPECT_EQ(scan.blocks.channels, 1);
  EXPECT_TRUE(scan.flags.contains(Flag::lossy));
  EXPECT_TRUE(scan.flags.contains(Flag::eight_bit));
  EXPECT_TRUE(scan.flags.contains(Flag::response_assumed));
  EXPECT_NEAR(scan.blocks.mean[100], 0.5029, 1e-4);  // sRGB 188 of 255 [IEC61966-2-1]
}

TEST(JpegReading, GreyRowsOfACutFileAreNotCounted) {
  // libjpeg fills what is missing with mid-grey and only warns.
  std::vector<std::uint8_t> samples;
  for (int i = 0; i < 256 * 256 * 3; ++i)
    samples.push_back(static_cast<std::uint8_t>(200 + (i * 7919 >> 4) % 40));
  const std::string whole = bytes_of(write_jpeg("whole.jpg", 256, 256, 3, samples));
  const Scan scan =
      read_pixels(write_bytes("cut.jpg", whole.substr(0, whole.size() / 2)), "linear");
  EXPECT_TRUE(scan.flags.contains(Flag::partial_file));
  EXPECT_GT(scan.height, 60);
  EXPECT_LT(scan.height, 140);
  for (const float light : scan.blocks.mean) ASSERT_GT(light, 170 / 255.0);
}

TEST(JpegReading, InksAreRefusedByName) {
  expect_error(write_jpeg("ink.jpg", 16, 16, 4, std::vector<std::uint8_t>(16 * 16 * 4, 90)),
               ErrorCode::unsupported, "CMYK");
}

TEST(TiffReading, PremultipliedAlphaIsUndone) {
  std::vector<std::uint16_t> samples;
  for (int i = 0; i < 64; ++i) {
    for (const int code : {20000, 10000, 5000})
      samples.push_back(static_cast<std::uint16_t>(code / 2));
    samples.push_back(32768);  // half transparent, within half a code
  }
  const TiffLayout layout{.width = 8,
                          .height = 8,
                          .samples = 4,
                          .photometric = PHOTOMETRIC_RGB,
                          .extra = EXTRASAMPLE_ASSOCALPHA};
  const Scan scan = read_pixels(write_tiff("premultiplied.tif", layout, samples), "linear");
  EXPECT_NEAR(scan.blocks.mean[0], 20000 / kFull, 1e-5);
  EXPECT_NEAR(scan.blocks.mean[64], 10000 / kFull, 1e-5);
  EXPECT_NEAR(scan.blocks.mean[128], 5000 / kFull, 1e-5);
}

TEST(TiffReading, LargeFileIsNotMappedIntoMemory) {
#if defined(__SANITIZE_ADDRESS__)
  GTEST_SKIP() << "memory is the sanitizer's own";
#endif
  const auto peak = [] {
    rusage usage{};
    getrusage(RUSAGE_SELF, &usage);
    return usage.ru_maxrss;  // KiB
  };
  const int width = 4096;
  const int height = 8192;  // 64 MiB
  const std::string path = temporary("large.tif");
  TIFF* tiff = TIFFOpen(path.c_str(), "w");
  TIFFSetField(tiff, TIFFTAG_IMAGEWIDTH, width);
  TIFFSetField(tiff, TIFFTAG_IMAGELENGTH, height);
  TIFFSetField(tiff, TIFFTAG_BITSPERSAMPLE, 16);
  TIFFSetField(tiff, TIFFTAG_PHOTOMETRIC, PHOTOMETRIC_MINISBLACK);
  TIFFSetField(tiff, TIFFTAG_ROWSPERSTRIP, 8);
  std::vector<std::uint16_t> row(width, 30000);
  for (int y = 0; y < height; ++y) TIFFWriteScanline(tiff, row.data(), y, 0);
  TIFFClose(tiff);
  const long before = peak();
  const Scan scan = read_scan(path);
  EXPECT_LT(peak() - before, 32 * 1024);
  EXPECT_LE(scan.blocks.mean.size(), 500'000U);
  EXPECT_NEAR(scan.blocks.mean[1000], 30000 / kFull, 1e-7);
  std::filesystem::remove(path);
}

TEST(TiffReading, VarianceSurvivesAShortRangeAboutABrightMean) {
  // Two codes, 1 apart, in a chequerboard: the variance of the pixels is a quarter of a code.
  std::vector<std::uint16_t> samples;
  for (int i = 0; i < 64 * 64; ++i)
    samples.push_back(static_cast<std::uint16_t>(60000 + (i + i / 64) % 2));
  ReadOptions options;
  options.most_blocks = 100;
  options.response = response::parse_response("linear");
  const Scan scan =
      read_scan(write_tiff("quiet.tif", {.width = 64, .height = 64}, samples), options);
  ASSERT_EQ(scan.blocks.block_side, 7);
  EXPECT_NEAR(scan.blocks.variance[0] * kFull * kFull, 0.25 * 49 / 48, 0.01);
}

TEST(PngReading, EightBitsAndSixteenGiveTheSameSums) {
  // The code v of 8 bits is 257 v of 16; the two are summed in different ways.
  for (const auto& [colour_type, samples] : {std::pair(0, 1), std::pair(2, 3), std::pair(6, 4)}) {
    std::vector<std::uint16_t> bytes;
    std::vector<std::uint16_t> words;
    for (int i = 0; i < 61 * 35 * samples; ++i) {
      bytes.push_back(static_cast<std::uint16_t>((i * 7919 >> 3) % 256));
      words.push_back(static_cast<std::uint16_t>(bytes.back() * 257));
    }
    const PngLayout eight{.width = 61, .height = 35, .bits = 8, .colour_type = colour_type};
    PngLayout sixteen = eight;
    sixteen.bits = 16;
    ReadOptions options;
    options.most_blocks = 100;
    options.response = response::parse_response("srgb");
    const decode::BlockImage a = read_scan(write_png("eight.png", eight, bytes), options).blocks;
    const decode::BlockImage b =
        read_scan(write_png("sixteen.png", sixteen, words), options).blocks;
    ASSERT_EQ(a.mean.size(), b.mean.size());
    EXPECT_EQ(a.clipped, b.clipped);
    EXPECT_EQ(a.floored, b.floored);
    for (std::size_t i = 0; i < a.mean.size(); ++i) {
      ASSERT_NEAR(a.mean[i], b.mean[i], 1e-6);
      ASSERT_NEAR(a.variance[i], b.variance[i], 1e-5 * b.variance[i] + 1e-9);
    }
  }
}

TEST(DamagedFiles, AreRefusedInOneSentence) {
  expect_error(temporary("nowhere.tif"), ErrorCode::not_found, "does not exist");
  expect_error(test::test_folder(), ErrorCode::unreadable, "not a file");
  expect_error(write_bytes("empty.tif", ""), ErrorCode::unreadable, "is empty");
  expect_error(write_bytes("text.tif", "frame,shutter\n1,1/60\n"), ErrorCode::unsupported,
               "not a picture");
  expect_error(write_bytes("head.tif", std::string("II\x2a\0\x08\0\0\0", 8)), ErrorCode::unreadable,
               "not a whole TIFF");
  expect_error(write_bytes("head.jpg", "\xff\xd8\xff\xe0"), ErrorCode::unreadable, "whole JPEG");
  expect_error(write_bytes("head.png", "\x89PNG\r\n\x1a\n"), ErrorCode::unreadable, "whole PNG");
  expect_error(write_bytes("phone.heic", std::string("\0\0\0\x18"
                                                     "ftypheic",
                                                     12)),
               ErrorCode::unsupported, "HEIF");
}

TEST(DamagedFiles, CutCompressedTiffLosesItsDirectoryAndIsRefused) {
  // libtiff writes the directory after the strips, so a cut file has lost it.
  const auto codes = ramp(64 * 64, 331);
  for (const int compression : {COMPRESSION_ADOBE_DEFLATE, COMPRESSION_LZW}) {
    const TiffLayout layout{.width = 64, .height = 64, .compression = compression};
    const std::string whole = bytes_of(write_tiff("whole.tif", layout, codes));
    for (const double share : {0.2, 0.5, 0.9}) {
      const auto size = static_cast<std::size_t>(share * static_cast<double>(whole.size()));
      const std::string path = write_bytes("roll7_cut.tif", whole.substr(0, size));
      expect_error(path, ErrorCode::unreadable, "is not a whole TIFF file");
      try {
        read_pixels(path);
      } catch (const InputError& error) {
        EXPECT_THAT(error.what(), testing::HasSubstr("roll7_cut.tif"));
      }
    }
  }
}

TEST(DamagedFiles, AStripBeyondTheFilesEndIsSaidWithoutARowThatIsNone) {
  const TiffLayout layout{.width = 64, .height = 64, .compression = COMPRESSION_LZW};
  std::string bytes = bytes_of(write_tiff("strips.tif", layout, ramp(64 * 64, 331)));
  std::uint32_t directory = 0;
  std::memcpy(&directory, &bytes[4], 4);
  for (char* at = &bytes[directory + 2]; at + 12 <= bytes.data() + bytes.size(); at += 12) {
    std::uint16_t tag = 0;
    std::memcpy(&tag, at, 2);
    if (tag != TIFFTAG_STRIPOFFSETS) continue;
    std::uint32_t offsets = 0;
    std::memcpy(&offsets, at + 8, 4);
    const auto beyond = static_cast<std::uint32_t>(bytes.size() - 10);
    std::memcpy(&bytes[offsets], &beyond, 4);
    break;
  }
  try {
    read_pixels(write_bytes("roll7_strips.tif", bytes));
    FAIL() << "read";
  } catch (const InputError& error) {
    // libtiff numbers the row that it never came to 4294967295.
    EXPECT_THAT(error.what(), testing::HasSubstr("Read error; got 10 bytes"));
    EXPECT_THAT(error.what(), testing::Not(testing::HasSubstr("4294967295")));
  }
}

TEST(DamagedFiles, RenamedFileIsReadByItsContent) {
  const auto codes = ramp(8 * 8 * 3, 77);
  const std::string png = bytes_of(write_png("real.png", {.width = 8, .height = 8}, codes));
  EXPECT_EQ(read_pixels(write_bytes("renamed.tif", png)).format, "PNG");
}

TEST(DamagedFiles, LyingSizesCostNothing) {
  // 30000 x 30000 and 2^31 x 2^31 claimed by a file of a few hundred bytes.
  std::string bytes = bytes_of(write_tiff("small.tif", {.width = 8, .height = 8}, ramp(64, 100)));
  for (const std::uint32_t side : {30000U, 2147483647U}) {
    std::string lying = bytes;
    // Directory entries: tag, type, count, value; libtiff writes width and length first.
    std::uint32_t directory = 0;
    std::memcpy(&directory, &lying[4], 4);
    for (int entry = 0; entry < 20; ++entry) {
      char* at = &lying[directory + 2 + 12 * entry];
      if (at + 12 > lying.data() + lying.size()) break;
      std::uint16_t tag = 0;
      std::memcpy(&tag, at, 2);
      if (tag != TIFFTAG_IMAGEWIDTH && tag != TIFFTAG_IMAGELENGTH && tag != TIFFTAG_ROWSPERSTRIP)
        continue;
      const std::uint16_t type = TIFF_LONG;
      std::memcpy(at + 2, &type, 2);
      std::memcpy(at + 8, &side, 4);
    }
    try {
      const Scan scan = read_pixels(write_bytes("lying.tif", lying));
      ADD_FAILURE() << "read " << scan.width << " x " << scan.height;
    } catch (const InputError& error) {
      EXPECT_EQ(error.code(), ErrorCode::unreadable) << error.what();
    }
  }
}

}  // namespace
}  // namespace basefog::scan
