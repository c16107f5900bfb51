// SPDX-License-Identifier: GPL-3.0-or-later
// Sidecars are read back by two programs and libraries that know nothing of basefog.
#include "basefog/report/sidecar.hpp"

#include <gmock/gmock.h>
#include <gtest/gtest.h>

#include <cstdio>
#include <exiv2/exiv2.hpp>
#include <filesystem>
#include <fstream>
#include <iterator>
#include <nlohmann/json.hpp>

#include "makers/sample_analysis.hpp"
#include "test_folder.hpp"

namespace basefog::report {
namespace {

namespace fs = std::filesystem;
using ::testing::Contains;
using ::testing::HasSubstr;
using ::testing::Not;

/// The sample roll with files whose names a disk takes.
roll::Analysis roll_on_disk(const fs::path& folder) {
  roll::Analysis analysis = sample_analysis();
  for (std::size_t i = 0; i < analysis.frames.size(); ++i) {
    analysis.frames[i].measurement.file = folder / ("roll07_" + std::to_string(i) + ".tif");
  }
  return analysis;
}

/// What exiftool says, names with their group: "XMP-exif:FNumber".
nlohmann::json exiftool(const fs::path& file) {
  const std::string command = "exiftool -j -n -struct -G1 '" + file.string() + "'";
  std::unique_ptr<FILE, decltype(&pclose)> pipe(popen(command.c_str(), "r"), pclose);
  std::string text;
  char buffer[4096];
  while (std::size_t count = fread(buffer, 1, sizeof buffer, pipe.get()))
    text.append(buffer, count);
  return nlohmann::json::parse(text).at(0);
}

Exiv2::XmpData exiv2(const fs::path& file) {
  const auto image = Exiv2::ImageFactory::open(file.string());
  image->readMetadata();
  return image->xmpData();
}

std::string value(const Exiv2::XmpData& data, const char* key) {
  const auto found = data.findKey(Exiv2::XmpKey(key));
  return found == data.end() ? "absent" : found->value().toString();
}

std::size_t place_with_row(const roll::Analysis& analysis) {
  for (std::size_t i = 0; i < analysis.frames.size(); ++i) {
    const roll::FrameResult& frame = analysis.frames[i];
    if (frame.reading && frame.log_row && !frame.flags.contains(Flag::match_doubtful)) return i;
  }
  throw std::runtime_error("the sample has no such frame");
}

class Sidecars : public ::testing::Test {
 protected:
  void SetUp() override {
    folder_ = test::test_folder() / "sidecars";
    fs::remove_all(folder_);
    fs::create_directories(folder_);
  }
  fs::path folder_;
};

TEST_F(Sidecars, settings_and_results_are_read_back_by_exiftool_and_exiv2) {
  roll::Analysis analysis = roll_on_disk(folder_);
  const std::size_t place = place_with_row(analysis);
  log::LogRow& row = analysis.log->rows[*analysis.frames[place].log_row];
  row.used = {ShutterTime(1.0 / 125), FNumber(5.6)};
  row.ei = FilmSpeed(250);
  row.compensation = Stops(-2.0 / 3);
  row.mode = log::ExposureMode::aperture_priority;
  row.focal_length_mm = 35;
  row.lens = "35 mm";
  row.scene = "backlit <wall> & sky";
  row.note = "a note";
  row.date = "2026-05-01T10:30:00";
  analysis.log->camera = "black one";
  const std::vector<fs::path> written = write_sidecars(folder_ / "out", analysis);
  ASSERT_EQ(written.size(), analysis.frames.size());
  const fs::path file = folder_ / "out" / ("roll07_" + std::to_string(place) + ".xmp");
  const Estimate<ExposureFromAim>& exposure = analysis.frames[place].reading->exposure.estimate;

  const nlohmann::json said = exiftool(file);
  EXPECT_NEAR(said.at("XMP-exif:ExposureTime").get<double>(), 1.0 / 125, 1e-6);
  EXPECT_NEAR(said.at("XMP-exif:FNumber").get<double>(), 5.6, 1e-6);
  EXPECT_EQ(said.at("XMP-exifEX:PhotographicSensitivity"), 250);
  EXPECT_NEAR(said.at("XMP-exif:ExposureCompensation").get<double>(), -2.0 / 3, 0.001);
  EXPECT_EQ(said.at("XMP-exif:ExposureProgram"), 3);
  EXPECT_EQ(said.at("XMP-exif:FocalLength"), 35);
  EXPECT_EQ(said.at("XMP-exif:DateTimeOriginal"), "2026:05:01 10:30:00");
  EXPECT_EQ(said.at("XMP-exif:FileSource"), 1) << "a film scanner";
  EXPECT_EQ(said.at("XMP-exifEX:LensModel"), "35 mm");
  EXPECT_EQ(said.at("XMP-tiff:Model"), "black one");
  EXPECT_EQ(said.at("XMP-dc:Description"), "backlit <wall> & sky. a note");
  EXPECT_NEAR(said.at("XMP-basefog:Exposure").get<double>(), exposure.value.value(), 0.001);
  EXPECT_NEAR(said.at("XMP-basefog:ExposureLow").get<double>(), exposure.low->value(), 0.001);

  const Exiv2::XmpData data = exiv2(file);
  EXPECT_EQ(value(data, "Xmp.exif.ExposureTime"), "1/125");
  EXPECT_EQ(value(data, "Xmp.exif.FNumber"), "56/10");
  EXPECT_EQ(value(data, "Xmp.exifEX.PhotographicSensitivity"), "250");
  EXPECT_EQ(value(data, "Xmp.exif.ExposureBiasValue"), "-2/3");
  EXPECT_EQ(value(data, "Xmp.basefog.State"), "measured");
}

TEST_F(Sidecars, f_numbers_between_the_tenths_keep_their_value) {
  roll::Analysis analysis = roll_on_disk(folder_);
  const std::size_t place = place_with_row(analysis);
  log::LogRow& row = analysis.log->rows[*analysis.frames[place].log_row];
  row.used.aperture = FNumber(0.95);
  EXPECT_THAT(sidecars(analysis)[place].xmp, HasSubstr("95/100"));
  row.used.aperture = FNumber(2.8);
  EXPECT_THAT(sidecars(analysis)[place].xmp, HasSubstr("28/10"));
}

TEST_F(Sidecars, what_was_not_measured_or_is_doubtful_is_left_out) {
  roll::Analysis analysis = roll_on_disk(folder_);
  const std::size_t place = place_with_row(analysis);
  analysis.frames[place].flags.insert(Flag::match_doubtful);
  const std::vector<Sidecar> all = sidecars(analysis);
  EXPECT_THAT(all[place].xmp, Not(HasSubstr("ExposureTime")));
  EXPECT_THAT(all[place].xmp, HasSubstr("match_doubtful"));
  for (std::size_t i = 0; i < all.size(); ++i) {
    if (analysis.frames[i].reading) continue;
    EXPECT_THAT(all[i].xmp, Not(HasSubstr("basefog:Exposure>")));
    EXPECT_THAT(all[i].xmp, Not(HasSubstr("basefog:Verdict>")));
  }
}

TEST_F(Sidecars, several_frames_on_a_scan_are_a_list_of_structures) {
  roll::Analysis analysis = sample_colour_analysis();
  const std::vector<Sidecar> all = sidecars(analysis);
  ASSERT_EQ(all.size(), 2u) << "two of the three frames lie on one scan";
  std::ofstream(folder_ / "strip.xmp") << all[0].xmp;
  const nlohmann::json said = exiftool(folder_ / "strip.xmp");
  const nlohmann::json& frames = said.at("XMP-basefog:Frames");
  ASSERT_EQ(frames.size(), 2u) << said.dump(1);
  EXPECT_EQ(frames[1].at("State"), "measured");
}

TEST_F(Sidecars, beside_the_scans_never_over_a_file_that_is_there) {
  roll::Analysis analysis = roll_on_disk(folder_);
  for (const roll::FrameResult& frame : analysis.frames) {
    std::ofstream(frame.measurement.file) << "a scan";
  }
  // One was read elsewhere, and has nothing beside it here.
  roll::FrameResult elsewhere = analysis.frames.back();
  elsewhere.measurement.file = folder_ / "elsewhere" / "roll07_99.tif";
  analysis.frames.push_back(elsewhere);
  const fs::path mine = folder_ / "roll07_1.xmp";
  std::ofstream(mine) << "my own";
  const SidecarsBeside result = write_sidecars_beside(analysis);
  EXPECT_EQ(result.kept, std::vector<fs::path>{mine});
  EXPECT_EQ(result.written.size(), analysis.frames.size() - 2);
  EXPECT_FALSE(fs::exists(folder_ / "elsewhere"));
  std::ifstream in(mine);
  EXPECT_EQ(std::string(std::istreambuf_iterator<char>(in), {}), "my own");
  EXPECT_TRUE(write_sidecars_beside(analysis).written.empty());
}

TEST_F(Sidecars, scans_of_one_stem_keep_their_endings) {
  roll::Analysis analysis = roll_on_disk(folder_);
  analysis.frames[1].measurement.file = folder_ / "roll07_0.jpg";
  std::vector<std::string> names;
  for (const Sidecar& sidecar : sidecars(analysis)) names.push_back(sidecar.file_name);
  EXPECT_THAT(names, Contains("roll07_0.tif.xmp"));
  EXPECT_THAT(names, Contains("roll07_0.jpg.xmp"));
}

TEST_F(Sidecars, no_text_becomes_markup) {
  roll::Analysis analysis = roll_on_disk(folder_);
  const std::string evil = "</rdf:li><x:evil>\"'&\x1b\x01]]>\xff";
  analysis.film.name = analysis.log->camera = evil;
  for (log::LogRow& row : analysis.log->rows) {
    row.scene = row.note = row.lens = row.date = row.frame = evil;
  }
  for (roll::FrameResult& frame : analysis.frames) frame.measurement.label = evil;
  for (const Sidecar& sidecar : sidecars(analysis)) {
    EXPECT_THAT(sidecar.xmp, Not(HasSubstr("<x:evil")));
    EXPECT_THAT(sidecar.xmp, Not(HasSubstr("\x1b")));
  }
  write_sidecars(folder_ / "out", analysis);
  const std::size_t place = place_with_row(analysis);
  const nlohmann::json said =
      exiftool(folder_ / "out" / ("roll07_" + std::to_string(place) + ".xmp"));
  EXPECT_THAT(said.at("XMP-dc:Description").get<std::string>(), HasSubstr("</rdf:li><x:evil>"));
}

}  // namespace
}  // namespace basefog::report
