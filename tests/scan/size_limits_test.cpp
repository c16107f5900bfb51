// SPDX-License-Identifier: GPL-3.0-or-later
// Files of some kilobytes that claim or unpack to gigabytes are refused, or read, without the
// memory.
#include <gmock/gmock.h>
#include <gtest/gtest.h>
#include <sys/resource.h>
#include <tiffio.h>
#include <zlib.h>

// clang-format off
#include <cstdio>  // before jpeglib.h, which needs FILE
#include <jpeglib.h>
// clang-format on
#include <algorithm>
#include <cstdlib>
#include <cstring>
#include <filesystem>
#include <map>
#include <vector>

#include "basefog/core/error.hpp"
#include "basefog/core/limits.hpp"
#include "basefog/scan/scan.hpp"
#include "makers/dng_writer.hpp"
#include "makers/scan_writer.hpp"

namespace basefog::scan {
namespace {

using test::bytes_of;
using test::write_bytes;
using ::testing::HasSubstr;

void put32(std::string& bytes, std::size_t at, std::uint32_t value) {
  for (int k = 0; k < 4; ++k) bytes[at + k] = static_cast<char>(value >> (24 - 8 * k));
}

std::string refusal_of(const std::string& path) {
  try {
    read_scan(path, {});
  } catch (const InputError& error) {
    return error.what();
  }
  return "";
}

/// Most memory that this process has held so far, MiB.
long peak_mebibytes() {
  rusage usage{};
  getrusage(RUSAGE_SELF, &usage);
  return usage.ru_maxrss / 1024;
}

/// A chunk of a PNG file [PNG]: length, type, data, check sum.
std::string chunk(const std::string& type, const std::string& data) {
  std::string bytes(8, '\0');
  put32(bytes, 0, static_cast<std::uint32_t>(data.size()));
  std::copy(type.begin(), type.end(), bytes.begin() + 4);
  bytes += data + std::string(4, '\0');
  const auto* checked = reinterpret_cast<const Bytef*>(bytes.data() + 4);
  put32(bytes, bytes.size() - 4,
        static_cast<std::uint32_t>(crc32(0, checked, static_cast<uInt>(data.size() + 4))));
  return bytes;
}

std::string deflated_zeros(std::size_t count) {
  const std::string zeros(count, '\0');
  uLongf size = compressBound(count);
  std::string packed(size, '\0');
  compress2(reinterpret_cast<Bytef*>(packed.data()), &size,
            reinterpret_cast<const Bytef*>(zeros.data()), count, Z_BEST_COMPRESSION);
  packed.resize(size);
  return packed;
}

constexpr std::size_t kAfterHeader = 33;  // of a PNG: signature and IHDR

std::string small_png() {
  return bytes_of(test::write_png("small.png", {.width = 16, .height = 16},
                                  std::vector<std::uint16_t>(768, 30000)));
}

/// The same picture with other sizes in its header.
std::string png_claiming(const std::string& bytes, std::uint32_t width, std::uint32_t height) {
  std::string header = bytes.substr(16, 13);
  put32(header, 0, width);
  put32(header, 4, height);
  return bytes.substr(0, 8) + chunk("IHDR", header) + bytes.substr(kAfterHeader);
}

TEST(SizeLimits, a_png_that_claims_more_pixels_than_any_scan_is_refused) {
  EXPECT_THAT(refusal_of(write_bytes("claims.png", png_claiming(small_png(), 100'000, 100'000))),
              HasSubstr("claims 100000 x 100000 pixels, over the limit of 2000 megapixels"));
  // Below the limit it is a damaged file that costs nothing.
  EXPECT_THAT(refusal_of(write_bytes("claims.png", png_claiming(small_png(), 40'000, 40'000))),
              HasSubstr("before any picture"));
}

TEST(SizeLimits, a_jpeg_that_claims_more_pixels_than_any_scan_is_refused) {
  std::string bytes =
      bytes_of(test::write_jpeg("small.jpg", 16, 16, 1, std::vector<std::uint8_t>(256, 90)));
  const std::size_t frame = bytes.find("\xff\xc0");
  ASSERT_NE(frame, std::string::npos);
  for (const std::size_t at : {frame + 5, frame + 7}) {
    bytes[at] = '\xfd';
    bytes[at + 1] = '\xe8';  // 65000
  }
  EXPECT_THAT(refusal_of(write_bytes("claims.jpg", bytes)),
              HasSubstr("claims 65000 x 65000 pixels, over the limit of 2000 megapixels"));
}

/// A progressive JPEG of one gray, whose first pass is written again and again.
std::string progressive_jpeg(int side, int passes) {
  jpeg_compress_struct info{};
  jpeg_error_mgr errors{};
  info.err = jpeg_std_error(&errors);
  jpeg_create_compress(&info);
  unsigned char* buffer = nullptr;
  unsigned long size = 0;
  jpeg_mem_dest(&info, &buffer, &size);
  info.image_width = static_cast<JDIMENSION>(side);
  info.image_height = static_cast<JDIMENSION>(side);
  info.input_components = 1;
  info.in_color_space = JCS_GRAYSCALE;
  jpeg_set_defaults(&info);
  jpeg_simple_progression(&info);
  jpeg_start_compress(&info, TRUE);
  std::vector<JSAMPLE> row(static_cast<std::size_t>(side), 90);
  JSAMPROW rows[] = {row.data()};
  for (int y = 0; y < side; ++y) jpeg_write_scanlines(&info, rows, 1);
  jpeg_finish_compress(&info);
  std::string bytes(reinterpret_cast<char*>(buffer), size);
  jpeg_destroy_compress(&info);
  std::free(buffer);
  const std::size_t last = bytes.rfind("\xff\xda");
  const std::string pass = bytes.substr(last, bytes.size() - 2 - last);
  for (int k = 0; k < passes; ++k) bytes.insert(bytes.size() - 2, pass);
  return bytes;
}

TEST(SizeLimits, a_progressive_jpeg_is_read_in_so_many_passes_at_most) {
  EXPECT_EQ(refusal_of(write_bytes("few.jpg", progressive_jpeg(64, 0))), "");
  const std::string many = progressive_jpeg(64, 2 * limits::kMostJpegPasses);
  EXPECT_THAT(refusal_of(write_bytes("many.jpg", many)), HasSubstr("more than 100 passes"));
}

TEST(SizeLimits, a_progressive_jpeg_too_large_to_be_held_is_refused_by_its_header) {
  std::string bytes = progressive_jpeg(64, 0);
  const std::size_t frame = bytes.find("\xff\xc2");
  ASSERT_NE(frame, std::string::npos);
  for (const std::size_t at : {frame + 5, frame + 7}) {
    bytes[at] = '\x4e';
    bytes[at + 1] = '\x20';  // 20000: 400 megapixels of two bytes
  }
  EXPECT_THAT(refusal_of(write_bytes("held.jpg", bytes)),
              HasSubstr("is progressive and too large to be held in memory"));
}

TEST(SizeLimits, packed_profiles_and_texts_do_not_take_the_memory_that_they_unpack_to) {
#if defined(__SANITIZE_ADDRESS__)
  GTEST_SKIP() << "memory is the sanitizer's own";
#endif
  // 200 MiB in 200 KB, as a profile and as twenty texts.
  const std::string bomb = deflated_zeros(200 * limits::kMebibyte);
  const std::string png = small_png();
  const std::string profile = chunk("iCCP", std::string("p\0\0", 3) + bomb);
  std::string texts;
  for (int k = 0; k < 20; ++k) texts += chunk("zTXt", std::string("Comment\0\0", 9) + bomb);
  const long before = peak_mebibytes();
  const std::string whole =
      png.substr(0, kAfterHeader) + profile + texts + png.substr(kAfterHeader);
  EXPECT_EQ(refusal_of(write_bytes("packed.png", whole)), "") << "the picture is there";
  EXPECT_LT(peak_mebibytes() - before, 100);
}

TEST(SizeLimits, a_png_text_that_claims_a_gigabyte_is_refused_without_the_memory) {
  const std::string png = small_png();
  std::string text = chunk("tEXt", std::string("Comment\0none", 12));
  put32(text, 0, 1'100'000'000);
  EXPECT_THAT(refusal_of(write_bytes(
                  "text.png", png.substr(0, kAfterHeader) + text + png.substr(kAfterHeader))),
              HasSubstr("tEXt: chunk data is too large"));
}

/// An entry of a TIFF directory: tag, type, count, value or offset.
struct TiffEntry {
  std::uint16_t tag;
  std::uint16_t type;
  std::uint32_t count;
  std::uint32_t value;
};

/// A little-endian TIFF file with one directory, of which entries with these tags say something
/// else.
std::string tiff_claiming(const std::string& path, const std::map<int, std::uint32_t>& claims) {
  std::string bytes = bytes_of(path);
  std::uint32_t directory = 0;
  std::memcpy(&directory, &bytes[4], 4);
  std::uint16_t entries = 0;
  std::memcpy(&entries, &bytes[directory], 2);
  std::size_t changed = 0;
  for (int k = 0; k < entries; ++k) {
    char* at = &bytes[directory + 2 + 12 * static_cast<std::size_t>(k)];
    TiffEntry entry{};
    std::memcpy(&entry, at, sizeof entry);
    const auto claim = claims.find(entry.tag);
    if (claim == claims.end()) continue;
    entry.type = TIFF_LONG;
    entry.count = 1;
    entry.value = claim->second;
    std::memcpy(at, &entry, sizeof entry);
    ++changed;
  }
  EXPECT_EQ(changed, claims.size());
  return bytes;
}

std::string small_tiff(const test::TiffLayout& layout) {
  return test::write_tiff(
      "small.tif", layout,
      std::vector<std::uint16_t>(static_cast<std::size_t>(layout.width) * layout.height, 40000));
}

TEST(SizeLimits, a_tiff_that_claims_more_pixels_than_any_scan_is_refused) {
  const std::string small = small_tiff({.width = 8, .height = 8});
  const std::string bytes =
      tiff_claiming(small, {{TIFFTAG_IMAGEWIDTH, 100'000}, {TIFFTAG_IMAGELENGTH, 100'000}});
  EXPECT_THAT(refusal_of(write_bytes("claims.tif", bytes)),
              HasSubstr("claims 100000 x 100000 pixels, over the limit of 2000 megapixels"));
}

TEST(SizeLimits, a_picture_longer_than_any_strip_of_film_is_refused_without_the_memory) {
  const std::string small = small_tiff({.width = 8, .height = 8, .compression = COMPRESSION_LZW});
  const long before = peak_mebibytes();
  for (const int side : {TIFFTAG_IMAGEWIDTH, TIFFTAG_IMAGELENGTH}) {
    const std::string bytes =
        tiff_claiming(small, {{side, 200'000'000}, {TIFFTAG_ROWSPERSTRIP, 200'000'000}});
    EXPECT_THAT(refusal_of(write_bytes("long.tif", bytes)),
                HasSubstr("pixels, over the limit of 1000000 a side"));
  }
  EXPECT_LT(peak_mebibytes() - before, 100);
}

TEST(SizeLimits, tiff_strips_too_large_to_be_held_are_refused_without_the_memory) {
  // A strip of one plane is read line by line, one of three planes is not.
  const std::string small = test::write_tiff("small.tif",
                                             {.width = 8,
                                              .height = 8,
                                              .samples = 3,
                                              .photometric = PHOTOMETRIC_RGB,
                                              .compression = COMPRESSION_LZW},
                                             std::vector<std::uint16_t>(192, 40000));
  const std::string bytes = tiff_claiming(small, {{TIFFTAG_IMAGEWIDTH, 20'000},
                                                  {TIFFTAG_IMAGELENGTH, 20'000},
                                                  {TIFFTAG_ROWSPERSTRIP, 20'000},
                                                  {TIFFTAG_PLANARCONFIG, PLANARCONFIG_SEPARATE}});
  const long before = peak_mebibytes();
  EXPECT_THAT(refusal_of(write_bytes("strip.tif", bytes)),
              HasSubstr("claims strips or tiles of 762 MiB, over the limit of 512 MiB"));
  EXPECT_LT(peak_mebibytes() - before, 100);
}

TEST(SizeLimits, a_packed_tiff_strip_does_not_get_the_memory_that_it_claims) {
  const std::string small =
      small_tiff({.width = 8, .height = 8, .compression = COMPRESSION_ADOBE_DEFLATE});
  const std::uint32_t packed = limits::kMostPackedBytes + limits::kMebibyte;
  const std::string path =
      write_bytes("packed.tif", tiff_claiming(small, {{TIFFTAG_STRIPBYTECOUNTS, packed}}));
  std::filesystem::resize_file(path, packed + limits::kMebibyte);  // all of it a hole
  const long before = peak_mebibytes();
  EXPECT_EQ(refusal_of(path), "") << "the picture is there";
  EXPECT_LT(peak_mebibytes() - before, 100);
}

TEST(SizeLimits, of_a_tiff_the_first_thousand_pages_are_looked_at) {
  const std::string path = test::temporary("pages.tif");
  TIFF* tiff = TIFFOpen(path.c_str(), "w");
  for (std::size_t page = 0; page <= limits::kMostTiffPages; ++page) {
    const std::uint32_t side = page == limits::kMostTiffPages ? 32 : 16;
    TIFFSetField(tiff, TIFFTAG_IMAGEWIDTH, side);
    TIFFSetField(tiff, TIFFTAG_IMAGELENGTH, side);
    TIFFSetField(tiff, TIFFTAG_BITSPERSAMPLE, 16);
    TIFFSetField(tiff, TIFFTAG_PHOTOMETRIC, PHOTOMETRIC_MINISBLACK);
    std::vector<std::uint16_t> row(side, 30000);
    for (std::uint32_t y = 0; y < side; ++y) TIFFWriteScanline(tiff, row.data(), y, 0);
    TIFFWriteDirectory(tiff);
  }
  TIFFClose(tiff);
  EXPECT_EQ(read_scan(path, {}).width, 16) << "the largest of those looked at";
}

TEST(SizeLimits, an_interlaced_png_too_large_to_be_held_is_refused_by_its_header) {
  const std::string path =
      test::write_png("small.png", {.width = 16, .height = 16, .interlaced = true},
                      std::vector<std::uint16_t>(768, 30000));
  const std::string bytes = png_claiming(bytes_of(path), 20'000, 20'000);  // 2.2 GiB decoded
  const long before = peak_mebibytes();
  EXPECT_THAT(refusal_of(write_bytes("held.png", bytes)),
              HasSubstr("is interlaced and too large to be held in memory"));
  EXPECT_LT(peak_mebibytes() - before, 100);
}

TEST(SizeLimits, a_camera_raw_too_large_to_be_unpacked_is_refused_without_the_memory) {
  const test::DngLayout layout{.width = 64, .height = 64};
  const std::string small =
      test::write_dng("small", layout, std::vector<std::uint16_t>(64 * 64, 5000));
  EXPECT_EQ(refusal_of(small), "");
  const std::string path = write_bytes(
      "claims.dng",
      tiff_claiming(small, {{TIFFTAG_IMAGEWIDTH, 40'000}, {TIFFTAG_IMAGELENGTH, 20'000}}));
  const long before = peak_mebibytes();
  EXPECT_THAT(refusal_of(path),
              HasSubstr("holds 40000 x 20000 sensor values, over the limit of 1024 MiB"));
  EXPECT_LT(peak_mebibytes() - before, 100);
}

TEST(SizeLimits, a_tiff_that_claims_a_huge_profile_does_not_get_the_memory) {
  const std::string path = small_tiff({.width = 8, .height = 8});
  std::string bytes = bytes_of(path);
  // The tag before the last of the directory becomes a profile of 3 GiB.
  std::uint32_t directory = 0;
  std::memcpy(&directory, &bytes[4], 4);
  std::uint16_t entries = 0;
  std::memcpy(&entries, &bytes[directory], 2);
  const TiffEntry profile{TIFFTAG_ICCPROFILE, TIFF_UNDEFINED, 3U << 30, 0};
  std::memcpy(&bytes[directory + 2 + 12 * (entries - 1U)], &profile, 8);  // its offset stays
  const long before = peak_mebibytes();
  refusal_of(write_bytes("huge_profile.tif", bytes));  // read without it, or refused
  EXPECT_LT(peak_mebibytes() - before, 100);
}

}  // namespace
}  // namespace basefog::scan
