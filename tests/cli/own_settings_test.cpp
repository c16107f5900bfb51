// SPDX-License-Identifier: GPL-3.0-or-later
// Settings that a photographer wrote into the scans themselves stand in for a log, but only where
// they are the taking camera's.
#include <gmock/gmock.h>
#include <gtest/gtest.h>

#include <exiv2/exiv2.hpp>
#include <nlohmann/json.hpp>

#include "cli/program_run.hpp"

namespace basefog {
namespace {

using ::testing::HasSubstr;

constexpr Exiv2::byte kFilmScanner = 1;  // [Exif, FileSource]
constexpr Exiv2::byte kCamera = 3;

/// A scan of the sample roll with 1/15 s at f/4 and a comment in its Exif.
void add_scan(const TestFolder& folder, const std::string& name, Exiv2::byte source) {
  const std::string path = folder.copy_sample(name);
  const auto image = Exiv2::ImageFactory::open(path);
  image->readMetadata();
  Exiv2::ExifData& exif = image->exifData();
  exif["Exif.Photo.ExposureTime"] = Exiv2::URational(1, 15);
  exif["Exif.Photo.FNumber"] = Exiv2::URational(4, 1);
  exif["Exif.Photo.ISOSpeedRatings"] = std::uint16_t{400};
  exif["Exif.Photo.ExposureBiasValue"] = Exiv2::Rational(1, 1);
  exif["Exif.Photo.MeteringMode"] = std::uint16_t{1};
  exif["Exif.Photo.UserComment"] = "charset=Ascii living room, full sun";
  const Exiv2::DataValue value(&source, 1, Exiv2::invalidByteOrder, Exiv2::undefined);
  exif.add(Exiv2::ExifKey("Exif.Photo.FileSource"), &value);
  image->writeMetadata();
}

nlohmann::json review(const TestFolder& folder) {
  const ProgramRun run =
      run_program({"review", folder.string(), "--json", "-", "--quiet", "--film-speed", "400"});
  EXPECT_EQ(run.status, 0) << run.err;
  return nlohmann::json::parse(run.out);
}

TEST(OwnSettings, of_the_taking_camera_stand_in_for_a_log) {
  const TestFolder folder;
  add_scan(folder, "roll03_07.tif", kFilmScanner);
  const nlohmann::json frame = review(folder).at("frames").at(0);
  EXPECT_NEAR(frame.at("logged").at("shutter_seconds").get<double>(), 1.0 / 15, 1e-5);
  EXPECT_EQ(frame.at("logged").at("f_number"), 4);
  EXPECT_EQ(frame.at("expected").at("stops"), 1);
  EXPECT_TRUE(frame.contains("deviation"));
  EXPECT_THAT(frame.at("logged").at("note").get<std::string>(), HasSubstr("living room"));
}

TEST(OwnSettings, of_the_camera_on_the_copy_stand_are_not_the_films) {
  const TestFolder folder;
  add_scan(folder, "roll03_07.tif", kCamera);
  const nlohmann::json frame = review(folder).at("frames").at(0);
  EXPECT_FALSE(frame.contains("logged"));
  EXPECT_FALSE(frame.contains("expected"));
}

}  // namespace
}  // namespace basefog
