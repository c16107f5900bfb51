// SPDX-License-Identifier: GPL-3.0-or-later
#include <gtest/gtest.h>
#include <tiffio.h>

#include <exiv2/exiv2.hpp>
#include <functional>
#include <locale>
#include <string>
#include <utility>
#include <vector>

#include "basefog/scan/scan.hpp"
#include "makers/scan_writer.hpp"

namespace basefog::scan {
namespace {

using namespace test;

/// A scan with Exif written into it by exiv2.
std::string scan_with(const std::string& name, const std::function<void(Exiv2::ExifData&)>& fill) {
  std::string path =
      write_tiff(name, {.width = 16, .height = 8}, std::vector<std::uint16_t>(128, 9000));
  const auto image = Exiv2::ImageFactory::open(path);
  image->readMetadata();
  fill(image->exifData());
  image->writeMetadata();
  return path;
}

void fill_settings(Exiv2::ExifData& exif) {
  exif["Exif.Image.Make"] = "Invented";
  exif["Exif.Image.DateTime"] = "2024:05:12 16:30:22";
  exif["Exif.Photo.DateTimeOriginal"] = "2024:04:30 09:00:00";
  exif["Exif.Photo.ExposureTime"] = Exiv2::URational(1, 60);
  exif["Exif.Photo.FNumber"] = Exiv2::URational(56, 10);
  exif["Exif.Photo.ISOSpeedRatings"] = std::uint16_t{400};
  exif["Exif.Photo.ExposureBiasValue"] = Exiv2::Rational(-1, 3);
  exif["Exif.Photo.MeteringMode"] = std::uint16_t{3};
}

void set_source(Exiv2::ExifData& exif, Exiv2::byte source) {
  Exiv2::DataValue value(&source, 1, Exiv2::invalidByteOrder, Exiv2::undefined);
  exif.add(Exiv2::ExifKey("Exif.Photo.FileSource"), &value);
}

TEST(ScanMetadata, SettingsCountWhereAScannerMadeTheFile) {
  const std::string path = scan_with("scanner.tif", [](Exiv2::ExifData& exif) {
    fill_settings(exif);
    set_source(exif, 1);
  });
  const ScanMetadata metadata = read_scan(path).metadata;
  EXPECT_TRUE(metadata.made_by_scanner);
  EXPECT_DOUBLE_EQ(metadata.shutter_seconds.value(), 1.0 / 60);
  EXPECT_DOUBLE_EQ(metadata.f_number.value(), 5.6);
  EXPECT_DOUBLE_EQ(metadata.iso.value(), 400);
  EXPECT_DOUBLE_EQ(metadata.compensation_stops.value(), -1.0 / 3);
  EXPECT_EQ(metadata.metering, "spot");
  EXPECT_EQ(metadata.date, "2024-05-12T16:30:22");
  EXPECT_EQ(metadata.original_date, "2024-04-30T09:00:00");
}

// [Exif, MeteringMode]: 0 unknown, 1 average, 2 centre-weighted average, 3 spot, 4 multi-spot,
// 5 pattern, 6 partial, 255 other.
TEST(ScanMetadata, MeteringModesAreThoseOfExif) {
  const std::vector<std::pair<int, std::string>> modes = {
      {0, ""}, {1, "average"}, {2, "centre_weighted"}, {3, "spot"}, {4, "spot"}, {5, "pattern"},
      {6, ""}, {255, ""}};
  for (const auto& [mode, name] : modes) {
    const std::string path = scan_with("metering.tif", [&](Exiv2::ExifData& exif) {
      fill_settings(exif);
      exif["Exif.Photo.MeteringMode"] = static_cast<std::uint16_t>(mode);
      set_source(exif, 1);
    });
    EXPECT_EQ(read_scan(path).metadata.metering, name) << mode;
  }
}

TEST(ScanMetadata, ModelNameTellsAScanner) {
  const std::string path = scan_with("named.tif", [](Exiv2::ExifData& exif) {
    fill_settings(exif);
    exif["Exif.Image.Model"] = "FilmScan 35";
  });
  EXPECT_TRUE(read_scan(path).metadata.made_by_scanner);
}

TEST(ScanMetadata, SettingsOfACopyCameraAreNotTheFilms) {
  const std::string path = scan_with("copy.tif", [](Exiv2::ExifData& exif) {
    fill_settings(exif);
    set_source(exif, 3);
  });
  const ScanMetadata metadata = read_scan(path).metadata;
  EXPECT_FALSE(metadata.made_by_scanner);
  EXPECT_FALSE(metadata.shutter_seconds);
  EXPECT_FALSE(metadata.f_number);
  EXPECT_EQ(metadata.make, "Invented");
  EXPECT_EQ(metadata.original_date, "");
}

TEST(ScanMetadata, UnknownRationalsAreAbsent) {
  const std::string path = scan_with("unknown.tif", [](Exiv2::ExifData& exif) {
    set_source(exif, 1);
    exif["Exif.Photo.ExposureTime"] = Exiv2::URational(0, 0);
    exif["Exif.Photo.FNumber"] = Exiv2::URational(0, 10);
  });
  const ScanMetadata metadata = read_scan(path).metadata;
  EXPECT_FALSE(metadata.shutter_seconds);
  EXPECT_FALSE(metadata.f_number);
}

TEST(ScanMetadata, DecimalCommaOfTheLocaleChangesNothing) {
  class Comma : public std::numpunct<char> {
    char do_decimal_point() const override { return ','; }
    char do_thousands_sep() const override { return '.'; }
    std::string do_grouping() const override { return "\3"; }
  };
  const std::string path = scan_with("comma.tif", [](Exiv2::ExifData& exif) {
    set_source(exif, 2);
    exif["Exif.Photo.ExposureTime"] = Exiv2::URational(1, 8000);
    exif["Exif.Photo.FNumber"] = Exiv2::URational(28, 10);
  });
  const std::locale before = std::locale::global(std::locale(std::locale(), new Comma));
  const ScanMetadata metadata = read_scan(path).metadata;
  std::locale::global(before);
  EXPECT_DOUBLE_EQ(metadata.shutter_seconds.value(), 1.0 / 8000);
  EXPECT_DOUBLE_EQ(metadata.f_number.value(), 2.8);
}

TEST(ScanMetadata, BigTiffFallsBackToItsOwnTags) {
  // exiv2 does not know BigTIFF.
  const ScanMetadata metadata =
      read_scan(std::string(BASEFOG_TEST_DATA) + "/tiff_layouts/gray16_bigtiff.tif").metadata;
  EXPECT_EQ(metadata.software, "tifffile.py");
}

}  // namespace
}  // namespace basefog::scan
