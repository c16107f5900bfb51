// SPDX-License-Identifier: GPL-3.0-or-later
#include "basefog/tablet/scanner_calibration.hpp"

#include <gmock/gmock.h>
#include <gtest/gtest.h>

#include <cmath>
#include <filesystem>
#include <fstream>
#include <functional>
#include <random>
#include <string>

#include "basefog/core/error.hpp"
#include "test_folder.hpp"

namespace basefog::tablet {
namespace {

namespace fs = std::filesystem;
using ::testing::HasSubstr;

/// A tablet of steps 0.05, 0.05 + increment, ... [H740, p. 6], with codes from a curve that the
/// test names; independent of the fit's own model.
std::vector<TabletPatch> tablet(int steps, double increment,
                                const std::function<double(double)>& code_of_density,
                                double noise = 0, double density_error = 0) {
  std::mt19937 random(1839);
  std::normal_distribution<double> normal;
  std::vector<TabletPatch> patches;
  for (int i = 0; i < steps; ++i) {
    const double density = 0.05 + increment * i;
    TabletPatch patch;
    patch.density = Density::from_value(density);
    PatchCode code;
    code.mean = code_of_density(density + density_error * normal(random)) + noise * normal(random);
    code.sigma = noise;
    code.clipped = code.mean >= 1;
    code.mean = std::clamp(code.mean, 0.0, 1.0);
    patch.codes = {code};
    patches.push_back(patch);
  }
  return patches;
}

/// Density differences against the lightest step as read through the whole chain: response file
/// written, read back by --response, and light taken.
double worst_error(const ScannerCalibration& calibration, const std::vector<TabletPatch>& patches,
                   double densest) {
  const fs::path path = test::test_folder() / "calibrated scanner.toml";
  write_response_file(path, calibration);
  const response::Response response = response::parse_response(path.string());
  const auto read = [&](const TabletPatch& p) {
    return -std::log10(response.light(p.codes[0].mean, 0)) - p.density.value();
  };
  double worst = 0;
  double least = 1e9;
  double most = -1e9;
  for (const TabletPatch& patch : patches) {
    if (patch.density.value() > densest || patch.codes[0].clipped) continue;
    least = std::min(least, read(patch));
    most = std::max(most, read(patch));
    worst = (most - least) / 2;
  }
  return worst;
}

TEST(CalibrateScanner, recovers_a_real_scanner_LeafWedge) {
  const auto patches =
      read_patch_codes(fs::path(BASEFOG_GOLDEN) / "scanner" / "leaf_16bit.csv", 65535);
  ASSERT_EQ(patches.size(), 12U);
  const ScannerCalibration calibration = calibrate_scanner(patches);
  ASSERT_EQ(calibration.channels.size(), 1U);
  const ChannelCalibration& channel = calibration.channels[0];
  EXPECT_FALSE(channel.corrected);
  EXPECT_EQ(channel.flare, 0.0);
  EXPECT_NEAR(channel.exponent, 1.3525, 0.03);
  EXPECT_LE(channel.worst_residual.value(), 0.01);
  EXPECT_LE(worst_error(calibration, patches, 2), 0.01);
  // The published formula of the same table, density by density over the table.
  const response::Response response = response_of(calibration);
  const auto published = [](double d) { return (275 + 60000 * std::pow(10, -1.3525 * d)) / 65535; };
  const double zero = -std::log10(response.light(published(0.5), 0)) - 0.5;
  for (double d = 0.04; d <= 1.14; d += 0.05) {
    EXPECT_NEAR(-std::log10(response.light(published(d), 0)) - zero, d, 0.01) << d;
  }
}

TEST(CalibrateScanner, recovers_black_exponent_and_range_of_a_noisy_scanner) {
  const auto code = [](double d) { return 0.004 + 0.9 * std::pow(10, -d); };
  const double noise = 1e-4;
  const auto patches = tablet(21, 0.15, code, noise);
  const ChannelCalibration channel = calibrate_scanner(patches).channels[0];
  EXPECT_NEAR(channel.black, 0.004, 2e-4);
  EXPECT_NEAR(channel.exponent, 1.0, 0.01);
  EXPECT_FALSE(channel.corrected);
  EXPECT_TRUE(channel.noise_limited);
  // 0.03 of density is 6.9 % of 0.9 * 10^-D: noise alone ends the range at D 2.79.
  EXPECT_GT(channel.densest.value(), 2.6);
  EXPECT_LT(channel.densest.value(), 2.79);
  EXPECT_LT(worst_error(calibrate_scanner(patches), patches, channel.densest.value()), 0.03);
}

TEST(CalibrateScanner, takes_three_known_densities_for_a_power_law) {
  // A scan without a profile, coded by a display's exponent.
  const auto coded = [](double d) { return 0.97 * std::pow(10, -d / 2.2); };
  const auto patches = tablet(3, 0.8, coded, 1e-5);
  const ScannerCalibration calibration = calibrate_scanner(patches);
  const ChannelCalibration& channel = calibration.channels[0];
  EXPECT_FALSE(channel.black_fitted);
  EXPECT_EQ(channel.black, 0);
  EXPECT_NEAR(channel.exponent, 1 / 2.2, 0.002);
  EXPECT_NEAR(channel.scale, 0.97, 0.005);
  // Densities between and beyond the patches, read through the file that is written.
  EXPECT_LT(worst_error(calibration, tablet(15, 0.1, coded), 1.7), 0.005);
  // Their slope is as sure as densities of 0.01 over 1.6 make it, however well they lie.
  EXPECT_NEAR(calibration.relative_sigma, std::hypot(0.01, 0.01 * 2 / 1.6), 1e-4);
}

TEST(CalibrateScanner, refuses_three_patches_off_a_power_law) {
  auto patches = tablet(
      3, 0.8, [](double d) { return 0.97 * std::pow(10, -d / 2.2); }, 1e-5);
  patches[1].codes[0].mean *= 1.15;  // the next patch's neighbour, or a mirror in the glass
  try {
    calibrate_scanner(patches);
    FAIL();
  } catch (const InputError& error) {
    EXPECT_THAT(error.what(), HasSubstr("off a power law"));
  }
}

TEST(CalibrateScanner, serves_display_curves_and_31_steps) {
  const auto srgb = [](double d) {
    const double light = 0.95 * std::pow(10, -d);
    return light <= 0.0031308 ? 12.92 * light : 1.055 * std::pow(light, 1 / 2.4) - 0.055;
  };
  const auto patches = tablet(31, 0.10, srgb, 2e-5);
  const ScannerCalibration calibration = calibrate_scanner(patches);
  EXPECT_LT(worst_error(calibration, patches, 3.05), 0.02);
}

TEST(CalibrateScanner, finds_flare_only_where_there_is_some) {
  const auto flared = [](double d) {
    return 0.001 + 0.8 * std::pow(std::pow(10, -d) + 0.002, 0.5);
  };
  const auto patches = tablet(21, 0.15, flared, 1e-6, 0.001);
  CalibrationOptions options;
  options.tablet_sigma = 0.001;
  const ScannerCalibration calibration = calibrate_scanner(patches, options);
  EXPECT_NEAR(calibration.channels[0].flare, 0.002, 3e-4);
  EXPECT_LT(worst_error(calibration, patches, 2.5), 0.01);
}

TEST(CalibrateScanner, follows_a_bend_that_no_formula_has_but_not_the_scatter) {
  const auto bent = [](double d) { return 0.9 * std::pow(10, -(d + 0.08 * std::sin(2.2 * d))); };
  const auto patches = tablet(21, 0.15, bent, 1e-6);
  const ScannerCalibration calibration = calibrate_scanner(patches);
  EXPECT_TRUE(calibration.channels[0].corrected);
  EXPECT_LT(worst_error(calibration, patches, 3), 0.025);
  const auto scattered = tablet(
      21, 0.15, [](double d) { return 0.9 * std::pow(10, -d); }, 1e-6, 0.01);
  EXPECT_FALSE(calibrate_scanner(scattered).channels[0].corrected);
}

TEST(CalibrateScanner, one_scratched_patch_does_not_bend_the_rest) {
  auto patches = tablet(
      21, 0.15, [](double d) { return 0.9 * std::pow(10, -d); }, 1e-6, 0.003);
  patches[7].codes[0].mean *= 0.8;
  const ScannerCalibration calibration = calibrate_scanner(patches);
  EXPECT_NEAR(calibration.channels[0].exponent, 1.0, 0.01);
  EXPECT_NEAR(calibration.channels[0].residuals[7]->value(), 0.097, 0.02);
}

/// Dirt on a patch makes it 0.22 denser, at the light end, where it has the longest lever, too.
/// (The darkest patch alone tells black.)
TEST(CalibrateScanner, one_dirty_patch_counts_little_wherever_it_lies) {
  for (const std::size_t dirty : {0, 1, 10, 19}) {
    auto patches = tablet(
        21, 0.15, [](double d) { return 0.9 * std::pow(10, -d); }, 1e-6, 0.003);
    patches[dirty].codes[0].mean *= 0.6;
    const ChannelCalibration channel = calibrate_scanner(patches).channels[0];
    EXPECT_NEAR(channel.exponent, 1.0, 0.006) << dirty;
    EXPECT_NEAR(channel.residuals[dirty]->value(), 0.22, 0.02) << dirty;
  }
}

TEST(CalibrateScanner, leaves_clipped_patches_out) {
  const auto patches = tablet(
      21, 0.15, [](double d) { return 1.9 * std::pow(10, -d); }, 1e-6);
  const ChannelCalibration channel = calibrate_scanner(patches).channels[0];
  EXPECT_FALSE(channel.residuals[0].has_value());
  EXPECT_NEAR(channel.lightest.value(), 0.35, 1e-9);
  EXPECT_NEAR(channel.exponent, 1.0, 0.01);
}

TEST(CalibrateScanner, keeps_channels_apart_and_tells_its_own_uncertainty) {
  auto patches = tablet(
      21, 0.15, [](double d) { return 0.9 * std::pow(10, -d); }, 1e-6);
  for (TabletPatch& patch : patches) {
    PatchCode green = patch.codes[0];
    PatchCode blue = patch.codes[0];
    green.mean = std::pow(green.mean, 0.5);
    blue.mean *= 0.5;
    patch.codes = {patch.codes[0], green, blue};
  }
  const ScannerCalibration calibration = calibrate_scanner(patches);
  EXPECT_NEAR(calibration.channels[1].exponent, 0.5, 0.005);
  EXPECT_GE(calibration.relative_sigma, 0.01);
  EXPECT_LT(calibration.relative_sigma, response::kStatedResponseSigma);
  const response::Response response = response_of(calibration);
  EXPECT_EQ(response.kind, response::ResponseKind::calibrated);
  for (int channel = 0; channel < 3; ++channel) {
    const double code = patches[10].codes[static_cast<std::size_t>(channel)].mean;
    const double light_step = patches[0].codes[static_cast<std::size_t>(channel)].mean;
    EXPECT_NEAR(std::log10(response.light(light_step, channel) / response.light(code, channel)),
                1.5, 0.005);
  }
}

TEST(CalibrateScanner, refuses_what_cannot_calibrate_and_says_what_to_do) {
  const auto linear = [](double d) { return 0.9 * std::pow(10, -d); };
  const auto refusal = [](const std::vector<TabletPatch>& patches) -> std::string {
    CalibrationOptions options;
    options.source = "tablet.tif";
    try {
      calibrate_scanner(patches, options);
    } catch (const InputError& error) {
      EXPECT_EQ(error.code(), ErrorCode::malformed);
      return error.what();
    }
    return "not refused";
  };
  EXPECT_THAT(refusal({}), HasSubstr("has no patches"));
  EXPECT_THAT(refusal(tablet(2, 0.6, linear)), HasSubstr("2 patches"));
  EXPECT_THAT(refusal(tablet(9, 0.05, linear)), HasSubstr("0.5 of density"));
  EXPECT_THAT(refusal(tablet(21, 0.15, [](double) { return 1.0; })), HasSubstr("not clipped"));
  EXPECT_THAT(refusal(tablet(21, 0.15, [](double d) { return 0.9 - std::pow(10, -d); })),
              HasSubstr("do not fall"));
  EXPECT_THAT(refusal(tablet(21, 0.15, [](double d) { return 0.4 + 0.1 * std::sin(40 * d); })),
              HasSubstr("tablet.tif"));
  // Codes as fractions out of 1, of which one step is all there is.
  CalibrationOptions of_one;
  of_one.source = "tablet.tif";
  of_one.full_scale = 1;
  EXPECT_THROW(calibrate_scanner(tablet(21, 0.15, linear), of_one), InputError);
}

class TabletFiles : public ::testing::Test {
 protected:
  fs::path file(const std::string& text) {
    std::ofstream(path_, std::ios::binary) << text;
    return path_;
  }
  fs::path path_ = test::test_folder() / "tablet steps.csv";
};

TEST_F(TabletFiles, steps_one_a_line_or_numbered) {
  for (const char* text : {"0.05\n0.20\n0.35\n", "step,density\r\n1,0.05\r\n2,0.20\r\n3,0.35\r\n",
                           "step,density\r1,0.05\r2,0.20\r3,0.35\r",
                           "\xEF\xBB\xBFStep;Density\n1; 0.05\n2; 0.2\n\n# end\n3; 0.35"}) {
    const auto densities = read_step_densities(file(text));
    ASSERT_EQ(densities.size(), 3U) << text;
    EXPECT_EQ(densities[2].value(), 0.35);
  }
}

TEST_F(TabletFiles, name_the_line_that_is_wrong) {
  const auto refusal = [&](const char* text) -> std::string {
    try {
      read_step_densities(file(text));
    } catch (const InputError& error) {
      return error.what();
    }
    return "not refused";
  };
  EXPECT_THAT(refusal("0.05\nx\n"), HasSubstr("line 2"));
  EXPECT_THAT(refusal("0.05\n0.05\n"), HasSubstr("0.05 is not above"));
  EXPECT_THAT(refusal("1,0.05\n0.2\n"), HasSubstr("line 2"));
  EXPECT_THAT(refusal(""), HasSubstr("no line"));
  EXPECT_THAT(refusal("1,2,0.05\n"), HasSubstr("more than"));
  EXPECT_THROW(read_step_densities("/nonexistent/steps.csv"), InputError);
  EXPECT_THROW(read_step_densities(test::test_folder()), InputError);
}

TEST_F(TabletFiles, codes_and_patches) {
  const auto patches = read_patch_codes(file("r,g,b,d\n65535,30000,20000,0.05\n"), 65535);
  ASSERT_EQ(patches[0].codes.size(), 3U);
  EXPECT_TRUE(patches[0].codes[0].clipped);
  EXPECT_FALSE(patches[0].codes[1].clipped);
  EXPECT_THROW(read_patch_codes(file("70000,0.05\n"), 65535), InputError);
  // Decimal commas, where another separator leaves them free.
  const auto commas = read_patch_codes(file("code;density\n128,5;0,15\n"), 255);
  ASSERT_EQ(commas[0].codes.size(), 1U);
  EXPECT_EQ(commas[0].codes[0].mean, 128.5 / 255);
  EXPECT_EQ(commas[0].density.value(), 0.15);
  const auto regions = read_patch_regions(file("x,y,width,height\n10,20,30,40\n"));
  EXPECT_EQ(regions[0].centre_x, 25);
  EXPECT_EQ(regions[0].centre_y, 40);
  EXPECT_THROW(read_patch_regions(file("10,20,0,40\n")), InputError);
}

}  // namespace
}  // namespace basefog::tablet
