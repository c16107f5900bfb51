// SPDX-License-Identifier: GPL-3.0-or-later
// What exiftool 12.57 reads of files must be what we read of them [ExifTool].
#include <gtest/gtest.h>

#include <algorithm>
#include <filesystem>
#include <fstream>
#include <sstream>
#include <string>
#include <vector>

#include "basefog/scan/scan.hpp"

namespace basefog::scan {
namespace {

const std::filesystem::path kData = BASEFOG_TEST_DATA;

std::vector<std::string> cells_of(const std::string& line) {
  std::vector<std::string> cells;
  std::istringstream in(line);
  for (std::string cell; std::getline(in, cell, '\t');) cells.push_back(cell);
  return cells;
}

TEST(ReadingAsExiftool, SizesBitsAndSoftware) {
  std::ifstream in(std::filesystem::path(BASEFOG_GOLDEN) / "exiftool_layouts.tsv");
  int files = 0;
  for (std::string line; std::getline(in, line);) {
    if (line.starts_with('#') || line.starts_with("file\t")) continue;
    const std::vector<std::string> cells = cells_of(line);
    ASSERT_EQ(cells.size(), 7U) << line;
    SCOPED_TRACE(cells[0]);
    const Scan scan = read_scan(kData / "tiff_layouts" / cells[0]);
    const bool turned = cells[5] != "-" && std::stoi(cells[5]) >= 5;
    EXPECT_EQ(turned ? scan.height : scan.width, std::stoi(cells[1]));
    EXPECT_EQ(turned ? scan.width : scan.height, std::stoi(cells[2]));
    EXPECT_EQ(scan.bits_per_sample, std::stoi(cells[3]));  // the first of "16 16 16"
    EXPECT_EQ(scan.blocks.channels, std::min(std::stoi(cells[4]), 3));
    EXPECT_EQ(scan.metadata.software, cells[6]);
    ++files;
  }
  EXPECT_EQ(files, 27);
}

TEST(ReadingAsExiftool, SettingsThatItWrote) {
  // exiftool -n -ExposureTime -FNumber ... tests/data/exif/scanner.tif
  const ScanMetadata scanner = read_scan(kData / "exif" / "scanner.tif").metadata;
  EXPECT_TRUE(scanner.made_by_scanner);  // FileSource 1
  EXPECT_DOUBLE_EQ(scanner.shutter_seconds.value(), 0.004);
  EXPECT_DOUBLE_EQ(scanner.f_number.value(), 5.6);
  EXPECT_DOUBLE_EQ(scanner.iso.value(), 400);
  EXPECT_NEAR(scanner.compensation_stops.value(), -0.333333, 1e-6);
  EXPECT_DOUBLE_EQ(scanner.focal_length_mm.value(), 50);
  EXPECT_EQ(scanner.metering, "centre_weighted");  // MeteringMode 2
  EXPECT_EQ(scanner.original_date, "2024-04-30T09:00:00");
  EXPECT_EQ(scanner.date, "2024-05-12T16:30:22");  // CreateDate
  EXPECT_EQ(scanner.lens, "50 mm");
  EXPECT_EQ(scanner.make, "Invented");
  EXPECT_EQ(scanner.model, "FilmScan 35");
  EXPECT_EQ(scanner.software, "Invented");
  EXPECT_EQ(scanner.comment, "roll 12");
  const ScanMetadata camera = read_scan(kData / "exif" / "camera.tif").metadata;
  EXPECT_FALSE(camera.made_by_scanner);  // FileSource 3
  EXPECT_FALSE(camera.shutter_seconds);
  EXPECT_EQ(camera.lens, "");
}

}  // namespace
}  // namespace basefog::scan
