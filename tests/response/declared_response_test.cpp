// SPDX-License-Identifier: GPL-3.0-or-later
#include "response/declared_response.hpp"

#include <gmock/gmock.h>
#include <gtest/gtest.h>

#include <cmath>
#include <vector>

#include "response/monotone_light.hpp"

namespace basefog::response {
namespace {

TEST(ResponseFromExif, srgb_matches_Exif) {
  EXPECT_EQ(response_from_exif(1, "", {})->kind, ResponseKind::srgb);  // [Exif, 4.6.5, ColorSpace]
  EXPECT_EQ(response_from_exif(1, "R98", {})->kind, ResponseKind::srgb);
}

TEST(ResponseFromExif, adobe_rgb_is_gamma_563_256) {
  // [AdobeRGB, 4.3.4.2]: 2.19921875, declared as uncalibrated with Interoperability index R03.
  const auto response = response_from_exif(65535, "R03", {});
  ASSERT_TRUE(response);
  EXPECT_EQ(response->kind, ResponseKind::gamma);
  EXPECT_EQ(response->gamma, 2.19921875);
  EXPECT_EQ(response_from_exif(2, "", {})->gamma, 2.19921875);
}

TEST(ResponseFromExif, uncalibrated_declares_nothing_but_a_gamma_if_given) {
  EXPECT_FALSE(response_from_exif(65535, "", {}));
  EXPECT_FALSE(response_from_exif(std::nullopt, "", {}));
  EXPECT_FALSE(response_from_exif(65535, "", 0.0));
  EXPECT_EQ(response_from_exif(65535, "", 1.0)->gamma, 1.0);
}

TEST(ResponseFromPng, gamma_chunk_is_the_encoding_exponent) {
  // [PNG, 11.3.2.2]: a gAMA of 45455 is 1/2.2; the sRGB chunk overrides it.
  const auto response = response_from_png(false, 0.45455);
  ASSERT_TRUE(response);
  EXPECT_NEAR(response->gamma, 2.2, 1e-4);
  EXPECT_EQ(response_from_png(true, 0.45455)->kind, ResponseKind::srgb);
  EXPECT_EQ(response_from_png(false, 1.0)->gamma, 1.0);
  EXPECT_FALSE(response_from_png(false, {}));
  EXPECT_FALSE(response_from_png(false, 0.0));
}

TEST(AssumedResponse, is_linear_for_deep_tiff_and_srgb_otherwise_and_unsure) {
  EXPECT_EQ(assumed_response(ScanFormat::tiff, 16).kind, ResponseKind::linear);
  EXPECT_EQ(assumed_response(ScanFormat::tiff, 32).kind, ResponseKind::linear);
  EXPECT_EQ(assumed_response(ScanFormat::tiff, 8).kind, ResponseKind::srgb);
  EXPECT_EQ(assumed_response(ScanFormat::png, 16).kind, ResponseKind::srgb);
  EXPECT_EQ(assumed_response(ScanFormat::jpeg, 8).kind, ResponseKind::srgb);
  for (const ScanFormat format : {ScanFormat::tiff, ScanFormat::jpeg, ScanFormat::png}) {
    const Response response = assumed_response(format, 16);
    EXPECT_GE(response.source.kind, SourceKind::assumed_tiff);
    EXPECT_LE(response.source.kind, SourceKind::assumed_png);
    EXPECT_GT(response.relative_sigma, kStatedResponseSigma);
  }
  EXPECT_LT(sensor_response().relative_sigma, kStatedResponseSigma);
}

TEST(MakeMonotoneLight, scales_to_white_and_smooths_rounding_only) {
  std::vector<float> light = {-0.1F, 0.5F, 0.499F, 2.0F};
  ASSERT_TRUE(make_monotone_light(light));
  EXPECT_EQ(light, (std::vector<float>{0.0F, 0.25F, 0.25F, 1.0F}));
  std::vector<float> bent = {0.0F, 0.5F, 0.4F, 1.0F};
  EXPECT_FALSE(make_monotone_light(bent));
  std::vector<float> over = {0.0F, 1.5F, 1.0F};
  EXPECT_FALSE(make_monotone_light(over));
  std::vector<float> broken = {0.0F, NAN, 1.0F};
  EXPECT_FALSE(make_monotone_light(broken));
}

}  // namespace
}  // namespace basefog::response
