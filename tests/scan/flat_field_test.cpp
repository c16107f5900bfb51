// SPDX-License-Identifier: GPL-3.0-or-later
#include <gtest/gtest.h>

#include <cmath>

#include "basefog/core/error.hpp"
#include "basefog/scan/scan.hpp"
#include "makers/scan_writer.hpp"

namespace basefog::scan {
namespace {

using namespace test;

constexpr int kWidth = 60;
constexpr int kHeight = 40;

/// A lamp that falls off by half a stop towards one corner.
double lamp(int x, int y) { return 50000 * (1 - 0.3 * x / kWidth) * (1 - 0.15 * y / kHeight); }

std::string write_codes(const std::string& name, double transmittance, int orientation = 1) {
  std::vector<std::uint16_t> codes;
  for (int y = 0; y < kHeight; ++y) {
    for (int x = 0; x < kWidth; ++x)
      codes.push_back(static_cast<std::uint16_t>(
          std::min(65535.0, std::nearbyint(lamp(x, y) * transmittance))));
  }
  return write_tiff(name, {.width = kWidth, .height = kHeight, .orientation = orientation}, codes);
}

Scan read_with(const std::string& scan, const std::string& light) {
  ReadOptions options;
  options.response = response::parse_response("linear");
  options.light = light;
  return read_scan(scan, options);
}

void expect_even(const Scan& scan, double transmittance) {
  for (const float light : scan.blocks.mean)
    ASSERT_NEAR(light, transmittance, 1e-3 * transmittance);
}

TEST(FlatField, GivesTrueTransmittance) {
  const std::string light = write_codes("lamp.tif", 1);
  const Scan scan = read_with(write_codes("even.tif", 0.1), light);
  expect_even(scan, 0.1);  // D 1.0 [ISO5-1]
  EXPECT_TRUE(scan.light_known);
  EXPECT_FALSE(scan.flags.contains(Flag::light_clipped));
}

TEST(FlatField, TheEndOfACalibrationIsFromTheLightOn) {
  response::Response response = response::parse_response("linear");
  response.densest = Density::from_value(1.5);
  const std::string film = write_codes("even.tif", 0.1);
  ReadOptions options{.response = response};
  EXPECT_NEAR(std::log10(read_scan(film, options).darkest.at(0)), -1.5, 1e-9);
  options.light = write_codes("half.tif", 0.5);
  double light = 0;
  for (int y = 0; y < kHeight; ++y) {
    for (int x = 0; x < kWidth; ++x) light += 0.5 * lamp(x, y) / 65535 / (kWidth * kHeight);
  }
  EXPECT_NEAR(std::log10(read_scan(film, options).darkest.at(0)), -1.5 - std::log10(light), 1e-3);
}

TEST(FlatField, IsTakenInTheSensorsOwnOrientation) {
  const std::string light = write_codes("lamp.tif", 1);
  const Scan scan = read_with(write_codes("turned.tif", 0.2, 8), light);
  EXPECT_EQ(scan.width, kHeight);
  expect_even(scan, 0.2);
}

TEST(FlatField, SaysWhenTheLightWasClipped) {
  const Scan scan = read_with(write_codes("even.tif", 0.1), write_codes("bright.tif", 1.5));
  EXPECT_TRUE(scan.flags.contains(Flag::light_clipped));
  EXPECT_FALSE(scan.light_known);
}

TEST(FlatField, SaysWhenFilmIsBrighterThanItsLight) {
  const Scan scan = read_with(write_codes("even.tif", 0.9), write_codes("dim.tif", 0.5));
  EXPECT_TRUE(scan.flags.contains(Flag::light_exposure_differs));
  EXPECT_FALSE(scan.light_known);
}

TEST(FlatField, RefusesALightOfAnotherSize) {
  const std::string small =
      write_tiff("small_lamp.tif", {.width = 8, .height = 8}, std::vector<std::uint16_t>(64, 9000));
  EXPECT_THROW(read_with(write_codes("even.tif", 0.1), small), InputError);
}

}  // namespace
}  // namespace basefog::scan
