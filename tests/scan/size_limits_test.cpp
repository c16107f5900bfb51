// SPDX-License-Identifier: GPL-3.0-or-later
// Files of some kilobytes that claim or unpack to gigabytes are refused, or read, without the
// memory.
#include <gmock/gmock.h>
#include <gtest/gtest.h>
#include <sys/resource.h>
#include <zlib.h>

// clang-format off
#include <cstdio>  // before jpeglib.h, which needs FILE
#include <jpeglib.h>
// clang-format on
#include <algorithm>
#include <cstdlib>
#include <cstring>
#include <vector>

#include "basefog/error.hpp"
#include "basefog/limits.hpp"
#include "basefog/scan.hpp"
#include "scan/scan_writer.hpp"

namespace basefog {
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
std::string png_claiming(std::uint32_t width, std::uint32_t height) {
  std::string bytes = small_png();
  std::string header = bytes.substr(16, 13);
  put32(header, 0, width);
  put32(header, 4, height);
  return bytes.substr(0, 8) + chunk("IHDR", header) + bytes.substr(kAfterHeader);
}

TEST(SizeLimits, a_png_that_claims_more_pixels_than_any_scan_is_refused) {
  EXPECT_THAT(refusal_of(write_bytes("claims.png", png_claiming(100'000, 100'000))),
              HasSubstr("claims 100000 x 100000 pixels, over the limit of 2000 megapixels"));
  // Below the limit it is a damaged file that costs nothing.
  EXPECT_THAT(refusal_of(write_bytes("claims.png", png_claiming(40'000, 40'000))),
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

TEST(SizeLimits, a_tiff_that_claims_a_huge_profile_does_not_get_the_memory) {
  const std::string path = test::write_tiff("profile.tif", {.width = 8, .height = 8},
                                            std::vector<std::uint16_t>(64, 40000));
  std::string bytes = bytes_of(path);
  // The tag before the last of the directory becomes a profile of 3 GiB.
  std::uint32_t directory = 0;
  std::memcpy(&directory, &bytes[4], 4);
  std::uint16_t entries = 0;
  std::memcpy(&entries, &bytes[directory], 2);
  const std::size_t last = directory + 2 + 12 * (entries - 1U);
  const std::uint16_t tag = 34675;
  const std::uint16_t type = 7;
  const std::uint32_t count = 3U << 30;
  std::memcpy(&bytes[last], &tag, 2);
  std::memcpy(&bytes[last + 2], &type, 2);
  std::memcpy(&bytes[last + 4], &count, 4);
  const long before = peak_mebibytes();
  refusal_of(write_bytes("huge_profile.tif", bytes));  // read without it, or refused
  EXPECT_LT(peak_mebibytes() - before, 100);
}

}  // namespace
}  // namespace basefog
