// SPDX-License-Identifier: GPL-3.0-or-later
#include <gmock/gmock.h>
#include <gtest/gtest.h>
#include <lcms2.h>
#include <tiffio.h>

#include <filesystem>
#include <fstream>
#include <iterator>
#include <memory>

#include "basefog/core/error.hpp"
#include "basefog/print/proof.hpp"
#include "makers/sample_analysis.hpp"
#include "print/icc_profile.hpp"
#include "test_folder.hpp"

namespace basefog::print {
namespace {

namespace fs = std::filesystem;
using ::testing::ElementsAre;
using ::testing::HasSubstr;
using ::testing::Not;

class ProofFiles : public ::testing::Test {
 protected:
  void SetUp() override {
    folder_ = test::test_folder() / "proofs";
    fs::remove_all(folder_);
  }
  void TearDown() override { fs::remove_all(folder_); }

  std::vector<std::string> names() const {
    std::vector<std::string> found;
    for (const auto& entry : fs::directory_iterator(folder_)) {
      found.push_back(entry.path().filename().string());
    }
    std::sort(found.begin(), found.end());
    return found;
  }

  fs::path folder_;
};

std::string bytes_of(const fs::path& path) {
  std::ifstream file(path, std::ios::binary);
  return {std::istreambuf_iterator<char>(file), {}};
}

TEST_F(ProofFiles, a_file_a_frame_that_can_be_printed) {
  const auto written = write_proofs(folder_ / "new", sample_colour_analysis());
  folder_ /= "new";
  EXPECT_EQ(written.size(), 3u);
  EXPECT_THAT(names(), ElementsAre("single.jpg", "strip_01.jpg", "strip_02.jpg"));
  for (const fs::path& path : written) EXPECT_TRUE(bytes_of(path).starts_with("\xFF\xD8\xFF"));
}

TEST_F(ProofFiles, straight_proofs_only_with_a_density_zero) {
  roll::Analysis analysis = sample_analysis();
  const std::size_t all = write_proofs(folder_, analysis).size();
  analysis.frames[1].reference = {};
  ProofOptions straight;
  straight.style = ProofStyle::straight;
  EXPECT_EQ(write_proofs(folder_, analysis, straight).size(), all - 1);
  EXPECT_EQ(write_proofs(folder_, analysis).size(), all);
}

TEST_F(ProofFiles, names_cannot_lead_out_of_the_folder) {
  roll::Analysis analysis = sample_analysis();
  analysis.frames[1].measurement.label = "../../evil";
  analysis.frames[2].measurement.label = "..\\..\\evil";
  for (const fs::path& path : write_proofs(folder_, analysis)) {
    EXPECT_EQ(path.parent_path(), folder_);
    EXPECT_TRUE(fs::exists(path)) << path;
  }
}

/// Read back by libtiff and Little CMS.
TEST_F(ProofFiles, tiff_is_sixteen_bit_with_a_profile_that_means_srgb) {
  ProofOptions options;
  options.format = ProofFormat::tiff;
  options.long_side = 64;
  for (const roll::Analysis& analysis : {sample_analysis(), sample_colour_analysis()}) {
    const auto written = write_proofs(folder_, analysis, options);
    ASSERT_FALSE(written.empty());
    const std::unique_ptr<TIFF, decltype(&TIFFClose)> tiff(TIFFOpen(written[0].c_str(), "r"),
                                                           TIFFClose);
    ASSERT_NE(tiff, nullptr);
    std::uint32_t width = 0, profile_size = 0;
    std::uint16_t bits = 0, channels = 0;
    void* profile = nullptr;
    TIFFGetField(tiff.get(), TIFFTAG_IMAGEWIDTH, &width);
    TIFFGetField(tiff.get(), TIFFTAG_BITSPERSAMPLE, &bits);
    TIFFGetField(tiff.get(), TIFFTAG_SAMPLESPERPIXEL, &channels);
    EXPECT_EQ(width, 64u);
    EXPECT_EQ(bits, 16);
    ASSERT_EQ(TIFFGetField(tiff.get(), TIFFTAG_ICCPROFILE, &profile_size, &profile), 1);
    const std::unique_ptr<void, decltype(&cmsCloseProfile)> icc(
        cmsOpenProfileFromMem(profile, profile_size), cmsCloseProfile);
    ASSERT_NE(icc, nullptr);
    EXPECT_EQ(cmsGetColorSpace(icc.get()), channels == 1 ? cmsSigGrayData : cmsSigRgbData);
    std::vector<std::uint16_t> row(std::size_t{64} * channels);
    for (std::uint32_t y = 0; y < 6; ++y) {
      ASSERT_EQ(TIFFReadScanline(tiff.get(), row.data(), y), 1);
    }
    EXPECT_GT(*std::max_element(row.begin(), row.end()), 255);
  }
}

TEST(SrgbProfile, maps_a_middle_code_to_its_light) {
  for (int channels : {1, 3}) {
    const std::vector<std::uint8_t> bytes = srgb_profile(channels);
    const std::unique_ptr<void, decltype(&cmsCloseProfile)> icc(
        cmsOpenProfileFromMem(bytes.data(), static_cast<cmsUInt32Number>(bytes.size())),
        cmsCloseProfile);
    ASSERT_NE(icc, nullptr);
    const std::unique_ptr<void, decltype(&cmsCloseProfile)> xyz(cmsCreateXYZProfile(),
                                                                cmsCloseProfile);
    const std::unique_ptr<void, decltype(&cmsDeleteTransform)> transform(
        cmsCreateTransform(icc.get(), channels == 1 ? TYPE_GRAY_DBL : TYPE_RGB_DBL, xyz.get(),
                           TYPE_XYZ_DBL, INTENT_RELATIVE_COLORIMETRIC, cmsFLAGS_NOOPTIMIZE),
        cmsDeleteTransform);
    const double code = 118.0 / 255;  // sRGB of 18 %, 117.6 rounded
    const std::array<double, 3> in{code, code, code};
    cmsCIEXYZ light{};
    cmsDoTransform(transform.get(), in.data(), &light, 1);
    EXPECT_NEAR(light.Y, 0.181, 0.001);
    EXPECT_EQ(bytes, srgb_profile(channels)) << "the same bytes every time";
  }
}

TEST_F(ProofFiles, a_contact_sheet_of_six_a_row) {
  ProofOptions options;
  options.long_side = 120;
  options.format = ProofFormat::tiff;
  fs::create_directories(folder_);
  const fs::path sheet = folder_ / "sheet.tif";
  write_contact_sheet(sheet, sample_analysis(), options);
  const std::unique_ptr<TIFF, decltype(&TIFFClose)> tiff(TIFFOpen(sheet.c_str(), "r"), TIFFClose);
  ASSERT_NE(tiff, nullptr);
  std::uint32_t width = 0, height = 0;
  TIFFGetField(tiff.get(), TIFFTAG_IMAGEWIDTH, &width);
  TIFFGetField(tiff.get(), TIFFTAG_IMAGELENGTH, &height);
  EXPECT_GT(width, 6 * 120u);
  EXPECT_GT(height, 3 * 80u);
  write_contact_sheet(folder_ / "empty.jpg", roll::Analysis{});
  EXPECT_TRUE(fs::exists(folder_ / "empty.jpg"));
}

TEST_F(ProofFiles, a_contact_sheet_speaks_of_colour_only_where_it_printed_some) {
  fs::create_directories(folder_);
  const auto comment = [this](const roll::Analysis& analysis) {
    write_contact_sheet(folder_ / "sheet.jpg", analysis);
    return bytes_of(folder_ / "sheet.jpg");
  };
  const char* colour = "colour balanced on base and roll";
  EXPECT_THAT(comment(sample_colour_analysis()), HasSubstr(colour));
  EXPECT_THAT(comment(sample_analysis()), Not(HasSubstr(colour)));
  // Colour film that was scanned in gray.
  roll::Analysis gray = sample_colour_analysis();
  const roll::FrameResult one_channel = sample_analysis().frames[1];
  for (roll::FrameResult& frame : gray.frames) {
    frame.measurement.negative = one_channel.measurement.negative;
    frame.reference = one_channel.reference;
  }
  EXPECT_THAT(comment(gray), Not(HasSubstr(colour)));
}

TEST_F(ProofFiles, a_caption_stays_within_its_column) {
  ProofOptions options;
  options.long_side = 120;
  options.format = ProofFormat::tiff;
  fs::create_directories(folder_);
  roll::Analysis analysis = sample_analysis();
  analysis.frames[1].measurement.label = "a label much longer than a small proof is wide";
  write_contact_sheet(folder_ / "sheet.tif", analysis, options);
  const std::unique_ptr<TIFF, decltype(&TIFFClose)> tiff(
      TIFFOpen((folder_ / "sheet.tif").c_str(), "r"), TIFFClose);
  ASSERT_NE(tiff, nullptr);
  std::uint32_t width = 0, height = 0;
  TIFFGetField(tiff.get(), TIFFTAG_IMAGEWIDTH, &width);
  TIFFGetField(tiff.get(), TIFFTAG_IMAGELENGTH, &height);
  std::vector<std::uint16_t> row(std::size_t{3} * width);
  std::size_t inked = 0;
  for (std::uint32_t y = 0; y < height; ++y) {
    ASSERT_EQ(TIFFReadScanline(tiff.get(), row.data(), y), 1);
    if (y < 32) continue;  // the line above all
    // Four pixels of film or paper between the second and the third of six columns: margin 16, then
    // a frame every 124. What is drawn there is neither.
    for (std::size_t x = 16 + 2 * 124 + 1; x < 16 + 2 * 124 + 3; ++x) {
      const bool paper = row[3 * x] > 64000;
      const bool film = row[3 * x] < 6000;
      inked += paper || film ? 0 : 1;
    }
  }
  EXPECT_EQ(inked, 0u);
}

TEST_F(ProofFiles, options_that_cannot_be_are_refused_by_name) {
  ProofOptions options;
  options.long_side = 10;
  try {
    write_proofs(folder_, sample_analysis(), options);
    FAIL();
  } catch (const InputError& error) {
    EXPECT_EQ(error.code(), ErrorCode::usage);
    EXPECT_THAT(error.what(), HasSubstr("64 pixels or more"));
  }
  EXPECT_FALSE(fs::exists(folder_));
  options = {};
  options.jpeg_quality = 101;
  EXPECT_FALSE(options.validate().empty());
}

TEST_F(ProofFiles, a_folder_that_cannot_be_made_is_an_error) {
  std::ofstream(folder_) << "a file in the way";
  EXPECT_THROW(write_proofs(folder_ / "sub", sample_analysis()), InputError);
}

}  // namespace
}  // namespace basefog::print
