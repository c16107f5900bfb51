// SPDX-License-Identifier: GPL-3.0-or-later
#include "decode/light_table.hpp"

#include <gtest/gtest.h>

#include <array>
#include <cmath>
#include <cstdint>
#include <memory>
#include <utility>
#include <vector>

namespace basefog::decode {
namespace {

/// Three channels that end at levels of their own, as a raw file's do.
Picture unlike_channels(SampleKind kind) {
  Picture picture;
  picture.channels = 3;
  picture.kind = kind;
  picture.black = {10, 20, 5};
  picture.white = {210, 120, 55};
  return picture;
}

response::Response response_of(response::ResponseKind kind) {
  response::Response response;
  response.kind = kind;
  response.gamma = 2;
  return response;
}

/// Light of a pixel halfway between no light and full scale in each of its channels.
template <class Sample>
std::array<float, 3> halfway(SampleKind kind, response::ResponseKind response) {
  const std::array<Sample, 3> pixel = {110, 70, 30};
  std::array<float, 3> light{};
  LightTable(unlike_channels(kind), response_of(response))
      .convert_pixels(pixel.data(), 3, 1, light.data());
  return light;
}

TEST(LightTable, half_of_each_channels_own_range_is_half_the_light) {
  for (const auto kind : {response::ResponseKind::linear, response::ResponseKind::gamma}) {
    const float half = kind == response::ResponseKind::linear ? 0.5F : 0.25F;
    const std::array all = {halfway<std::uint8_t>(SampleKind::u8, kind),
                            halfway<std::uint16_t>(SampleKind::u16, kind),
                            halfway<float>(SampleKind::f32, kind)};
    for (const std::array<float, 3>& light : all) {
      for (const float one : light) EXPECT_NEAR(one, half, 1e-4);
    }
  }
}

TEST(LightTable, channels_are_told_apart_by_either_level) {
  Picture picture = unlike_channels(SampleKind::u16);
  picture.black = {0, 0, 0};
  EXPECT_FALSE(LightTable(picture, {}).has_one_curve());
  picture = unlike_channels(SampleKind::u16);
  picture.white = {255, 255, 255};
  EXPECT_FALSE(LightTable(picture, {}).has_one_curve());
  picture.black = {0, 0, 0};
  EXPECT_TRUE(LightTable(picture, {}).has_one_curve());
}

/// Scanners of 12 true bits end at 65520 of 65535: that is white in every channel, whatever its
/// curve, and a hundredth less is not.
TEST(LightTable, white_limit_is_each_channels_own) {
  Picture picture;
  picture.channels = 3;
  picture.white = {65535, 65535, 65535};
  response::ResponseCurves curves;
  for (const double exponent : {1.0, 4.0, 0.25}) {
    std::vector<float>& curve = curves.emplace_back();
    for (int i = 0; i <= 65535; ++i) {
      curve.push_back(static_cast<float>(std::pow(i / 65535.0, exponent)));
    }
  }
  response::Response response;
  response.kind = response::ResponseKind::calibrated;
  response.curves = std::make_shared<const response::ResponseCurves>(std::move(curves));
  const LightTable table(picture, response);
  for (int c = 0; c < 3; ++c) {
    EXPECT_GE(static_cast<float>(response.light(65520.0 / 65535, c)), table.clip_light(c)) << c;
    EXPECT_LT(static_cast<float>(response.light(0.999, c)), table.clip_light(c)) << c;
  }
}

}  // namespace
}  // namespace basefog::decode
