// SPDX-License-Identifier: GPL-3.0-or-later
#include "basefog/response/response.hpp"

#include <gmock/gmock.h>
#include <gtest/gtest.h>
#include <lcms2.h>

#include <array>
#include <cmath>
#include <filesystem>
#include <fstream>
#include <limits>
#include <memory>
#include <optional>
#include <sstream>
#include <string>
#include <vector>

#include "basefog/core/error.hpp"

namespace basefog::response {
namespace {

using ::testing::HasSubstr;

Response of_kind(ResponseKind kind) {
  Response response;
  response.kind = kind;
  return response;
}

TEST(Response, srgb_matches_IEC61966_2_1) {
  // The standard's own constants, where its two pieces meet and at its ends [IEC61966-2-1, 5.2].
  const Response srgb = of_kind(ResponseKind::srgb);
  EXPECT_EQ(srgb.light(0.0, 0), 0.0);
  EXPECT_DOUBLE_EQ(srgb.light(1.0, 0), 1.0);
  EXPECT_NEAR(srgb.light(0.04045, 0), 0.0031308, 5e-8);  // printed to 7 places
  EXPECT_DOUBLE_EQ(srgb.light(0.02, 0), 0.02 / 12.92);
  EXPECT_NEAR(srgb.light(0.04045 + 1e-12, 0), srgb.light(0.04045, 0), 1e-7);
  // The 8-bit code of an 18 % grey is 117.6 (computed from the standard).
  EXPECT_LT(srgb.light(117.55 / 255, 0), 0.18);
  EXPECT_GT(srgb.light(117.65 / 255, 0), 0.18);
  EXPECT_NEAR(srgb.light(118.0 / 255, 0), 0.1812, 5e-5);
}

TEST(Response, srgb_matches_a_parametric_curve_of_Little_CMS) {
  // ICC parametric type 3 with the constants of sRGB [ICC.1, 10.18] in a reference library.
  const std::array<double, 5> constants = {2.4, 1 / 1.055, 0.055 / 1.055, 1 / 12.92, 0.04045};
  cmsToneCurve* curve = cmsBuildParametricToneCurve(nullptr, 4, constants.data());
  const Response srgb = of_kind(ResponseKind::srgb);
  for (int code = 0; code <= 65535; ++code) {
    const float reference = cmsEvalToneCurveFloat(curve, static_cast<float>(code / 65535.0));
    ASSERT_NEAR(srgb.light(code / 65535.0, 0), reference, 1e-6) << code;
  }
  cmsFreeToneCurve(curve);
}

TEST(Response, linear_and_gamma_are_powers_of_the_code) {
  EXPECT_EQ(of_kind(ResponseKind::linear).light(0.25, 2), 0.25);
  Response gamma = of_kind(ResponseKind::gamma);
  gamma.gamma = 2.2;
  // D = -g log10(code) for a pure gamma [ISO5-1, computed].
  EXPECT_NEAR(-std::log10(gamma.light(0.1, 0)), 2.2, 1e-12);
}

TEST(Response, clamps_codes_and_reads_nan_as_black) {
  for (const ResponseKind kind : {ResponseKind::linear, ResponseKind::gamma, ResponseKind::srgb}) {
    const Response response = of_kind(kind);
    EXPECT_EQ(response.light(-0.5, 0), 0.0);
    EXPECT_DOUBLE_EQ(response.light(7.0, 0), 1.0);
    EXPECT_EQ(response.light(std::numeric_limits<double>::quiet_NaN(), 0), 0.0);
  }
}

TEST(Response, curves_are_interpolated_one_a_channel_or_one_for_all) {
  Response response = of_kind(ResponseKind::icc);
  response.curves = std::make_shared<const ResponseCurves>(
      ResponseCurves{{0.0F, 0.25F, 1.0F}, {0.0F, 0.5F, 1.0F}, {0.0F, 0.75F, 1.0F}});
  EXPECT_DOUBLE_EQ(response.light(0.5, 0), 0.25);
  EXPECT_DOUBLE_EQ(response.light(0.75, 0), 0.625);
  EXPECT_DOUBLE_EQ(response.light(0.5, 2), 0.75);
  EXPECT_DOUBLE_EQ(response.light(1.0, 1), 1.0);
  response.curves = std::make_shared<const ResponseCurves>(ResponseCurves{{0.0F, 0.25F, 1.0F}});
  EXPECT_DOUBLE_EQ(response.light(0.5, 2), 0.25);
}

TEST(ParseResponse, takes_the_named_kinds) {
  EXPECT_EQ(parse_response("linear").kind, ResponseKind::linear);
  EXPECT_EQ(parse_response("srgb").kind, ResponseKind::srgb);
  const Response gamma = parse_response("gamma=1.8");
  EXPECT_EQ(gamma.kind, ResponseKind::gamma);
  EXPECT_EQ(gamma.gamma, 1.8);
  EXPECT_EQ(gamma.source.name, "gamma=1.8");
  EXPECT_GT(gamma.relative_sigma, 0);
}

TEST(ParseResponse, refuses_what_is_no_gamma) {
  for (const char* text : {"gamma=", "gamma=x", "gamma=2.2x", "gamma=0", "gamma=-2", "gamma=nan",
                           "gamma=inf", "gamma=2,2", "gamma=1e9", ""}) {
    try {
      parse_response(text);
      FAIL() << text;
    } catch (const InputError& error) {
      EXPECT_EQ(error.code(), ErrorCode::usage) << text;
    }
  }
}

TEST(ParseResponse, says_which_file_is_missing_and_what_else_there_is) {
  try {
    parse_response("lienar");
    FAIL();
  } catch (const InputError& error) {
    EXPECT_EQ(error.code(), ErrorCode::not_found);
    EXPECT_THAT(error.what(), HasSubstr("lienar"));
    EXPECT_THAT(error.what(), HasSubstr("linear, srgb, gamma=N"));
  }
}

ResponseDoubt doubt(double densest, int frames, double sigma, std::optional<double> clear = {}) {
  Response response;
  response.relative_sigma = sigma;
  DensityWitness witness{NetDensity(densest), frames, {}};
  if (clear) witness.clear_film = Density::from_value(*clear);
  return doubt_response(response, witness);
}

TEST(DoubtResponse, speaks_up_where_film_cannot_be_so) {
  EXPECT_EQ(doubt(3.6, 1, 0.01), ResponseDoubt::too_dense);
  EXPECT_EQ(doubt(1.2, 36, 0.12), ResponseDoubt::none);
  EXPECT_EQ(doubt(0.5, 36, 0.12), ResponseDoubt::too_thin);
  EXPECT_EQ(doubt(0.5, 1, 0.12), ResponseDoubt::none) << "one thin frame may be under-exposed";
  EXPECT_EQ(doubt(0.5, 36, 0.01), ResponseDoubt::none) << "a measured response is not in doubt";
  EXPECT_EQ(doubt(1.2, 1, 0.01, -0.05), ResponseDoubt::film_too_clear);
  EXPECT_EQ(doubt(1.2, 1, 0.01, 0.15), ResponseDoubt::none);
}

/// Net density between a published curve's ends, the greatest of its columns but the first.
double net_range(const std::filesystem::path& path) {
  std::ifstream in(path);
  std::string line;
  std::getline(in, line);  // column heads
  std::vector<double> least;
  std::vector<double> most;
  while (std::getline(in, line)) {
    std::istringstream fields(line);
    std::string field;
    std::getline(fields, field, ',');
    for (std::size_t c = 0; std::getline(fields, field, ','); ++c) {
      const double density = std::stod(field);
      if (c >= least.size()) {
        least.push_back(density);
        most.push_back(density);
      }
      least[c] = std::min(least[c], density);
      most[c] = std::max(most[c], density);
    }
  }
  double range = 0;
  for (std::size_t c = 0; c < least.size(); ++c) range = std::max(range, most[c] - least[c]);
  return range;
}

TEST(DoubtResponse, published_curves_pass_and_fail_under_a_wrong_gamma) {
  // Whole curves, thin to dense [KodakE4050] [KodakE4051] [KodakE4046].
  for (const char* name : {"E4050.csv", "E4051.csv", "E4046.csv"}) {
    const double range = net_range(std::filesystem::path(BASEFOG_GOLDEN) / "curves" / name);
    ASSERT_GT(range, 1.0) << name;
    EXPECT_EQ(doubt(range, 36, 0.12), ResponseDoubt::none) << name;
    EXPECT_EQ(doubt(2.2 * range, 36, 0.12), ResponseDoubt::too_dense)
        << name << ": linear codes decoded as a display's";
  }
}

}  // namespace
}  // namespace basefog::response
