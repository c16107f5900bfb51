// SPDX-License-Identifier: GPL-3.0-or-later
// Profiles are made here with Little CMS; its own evaluation is the outside check.
#include "response/icc_response.hpp"

#include <gmock/gmock.h>
#include <gtest/gtest.h>
#include <lcms2.h>

#include <array>
#include <cmath>
#include <filesystem>
#include <fstream>
#include <functional>
#include <iterator>
#include <string>
#include <thread>
#include <vector>

namespace basefog::response {
namespace {

using ::testing::Each;
using Bytes = std::vector<std::byte>;

constexpr double kAdobeGamma = 563.0 / 256.0;
constexpr std::array<double, 5> kSrgbCurve = {2.4, 1 / 1.055, 0.055 / 1.055, 1 / 12.92, 0.04045};

Bytes saved(cmsHPROFILE profile) {
  cmsUInt32Number size = 0;
  cmsSaveProfileToMem(profile, nullptr, &size);
  Bytes bytes(size);
  cmsSaveProfileToMem(profile, bytes.data(), &size);
  cmsCloseProfile(profile);
  return bytes;
}

cmsHPROFILE rgb_profile(std::array<cmsToneCurve*, 3> curves) {
  const cmsCIExyY white = {0.3127, 0.3290, 1.0};
  const cmsCIExyYTRIPLE primaries = {{0.64, 0.33, 1}, {0.30, 0.60, 1}, {0.15, 0.06, 1}};
  return cmsCreateRGBProfile(&white, &primaries, curves.data());
}

Bytes rgb(cmsToneCurve* curve, double version = 4.3) {
  cmsHPROFILE profile = rgb_profile({curve, curve, curve});
  cmsSetProfileVersion(profile, version);
  cmsFreeToneCurve(curve);
  return saved(profile);
}

Bytes gray(cmsToneCurve* curve, cmsColorSpaceSignature connection = cmsSigXYZData) {
  cmsHPROFILE profile = cmsCreateGrayProfile(cmsD50_xyY(), curve);
  cmsSetPCS(profile, connection);
  cmsFreeToneCurve(curve);
  return saved(profile);
}

cmsToneCurve* gamma_curve(double gamma) { return cmsBuildGamma(nullptr, gamma); }

cmsToneCurve* srgb_table(int entries, double top = 65535) {
  std::vector<cmsUInt16Number> table(entries);
  cmsToneCurve* exact = cmsBuildParametricToneCurve(nullptr, 4, kSrgbCurve.data());
  for (int i = 0; i < entries; ++i) {
    const float x = static_cast<float>(i) / static_cast<float>(entries - 1);
    table[i] = static_cast<cmsUInt16Number>(std::lround(top * cmsEvalToneCurveFloat(exact, x)));
  }
  cmsFreeToneCurve(exact);
  return cmsBuildTabulatedToneCurve16(nullptr, entries, table.data());
}

/// Y of equal codes through Little CMS's floating-point pipeline, relative to full scale.
std::vector<double> reference_luminance(const Bytes& bytes, int channels) {
  cmsHPROFILE profile = cmsOpenProfileFromMem(bytes.data(), static_cast<unsigned>(bytes.size()));
  cmsHPROFILE xyz = cmsCreateXYZProfile();
  cmsHTRANSFORM transform =
      cmsCreateTransform(profile, channels == 1 ? TYPE_GRAY_FLT : TYPE_RGB_FLT, xyz, TYPE_XYZ_FLT,
                         INTENT_RELATIVE_COLORIMETRIC, cmsFLAGS_NOOPTIMIZE | cmsFLAGS_NOCACHE);
  std::vector<double> luminance(65536);
  for (int code = 0; code < 65536; ++code) {
    const float x = static_cast<float>(code / 65535.0);
    const std::array<float, 3> in = {x, x, x};
    std::array<float, 3> out{};
    cmsDoTransform(transform, in.data(), out.data(), 1);
    luminance[code] = out[1];
  }
  cmsDeleteTransform(transform);
  cmsCloseProfile(xyz);
  cmsCloseProfile(profile);
  for (double& y : luminance) y /= luminance.back();
  return luminance;
}

Response usable(const Bytes& bytes, int channels) {
  IccResponse result = response_from_icc(bytes, channels);
  EXPECT_TRUE(result.response) << name_of(result.fault);
  EXPECT_TRUE(result.flags.empty());
  return result.response.value_or(Response{});
}

void expect_light(const Response& response, const std::function<double(double)>& truth,
                  double relative) {
  for (int code = 1; code < 65536; ++code) {
    const double expected = truth(code / 65535.0);
    ASSERT_NEAR(response.light(code / 65535.0, 0), expected, relative * expected + 1e-9) << code;
  }
}

TEST(IccResponse, gamma_profiles_of_either_version_are_powers) {
  for (const double version : {2.1, 4.3}) {
    for (const double gamma : {1.0, 1.8, kAdobeGamma}) {
      // ICC 2 keeps a gamma in 1/256 [ICC.1, 10.6]; Little CMS cuts 1.8 to 460/256.
      const double kept = version < 4 ? std::floor(gamma * 256) / 256 : gamma;
      const Response response = usable(rgb(gamma_curve(gamma), version), 3);
      EXPECT_EQ(response.curves->size(), 1U) << "three equal curves are kept once";
      expect_light(
          response, [&](double c) { return std::pow(c, kept); }, 1e-4);
    }
  }
}

TEST(IccResponse, parametric_curves_match_ICC1_and_Little_CMS) {
  // The five function types [ICC.1, 10.18, Table 68], with a gamma, offsets and a toe.
  const std::array<std::vector<double>, 5> constants = {{
      {2.4},
      {2.4, 1.1, -0.1},
      {2.4, 1.0571, -0.1, 0.1},
      {kSrgbCurve.begin(), kSrgbCurve.end()},
      {2.4, 0.905, 0.052, 0.073, 0.04, 0.1, 0.1},
  }};
  for (int type = 1; type <= 5; ++type) {
    const Bytes bytes = rgb(cmsBuildParametricToneCurve(nullptr, type, constants[type - 1].data()));
    const Response response = usable(bytes, 3);
    cmsHPROFILE profile = cmsOpenProfileFromMem(bytes.data(), static_cast<unsigned>(bytes.size()));
    const auto* curve = static_cast<cmsToneCurve*>(cmsReadTag(profile, cmsSigGreenTRCTag));
    const double white = cmsEvalToneCurveFloat(curve, 1.0F);
    for (int code = 0; code < 65536; code += 5) {
      const float x = static_cast<float>(code / 65535.0);
      ASSERT_NEAR(response.light(x, 0), std::max(0.0, cmsEvalToneCurveFloat(curve, x) / white),
                  1e-6)
          << "type " << type << " code " << code;
    }
    cmsCloseProfile(profile);
  }
}

TEST(IccResponse, tables_are_not_rounded_to_16_bits_in_the_darks) {
  // Between two entries of a table Little CMS rounds to 1/65535, which is 4 % of light at D 4.
  const Response response = usable(rgb(srgb_table(1024)), 3);
  const double low = response.light(64.0 / 65535, 0);
  const double high = response.light(128.0 / 65535, 0);  // the second entry is at code 64.06
  for (int code = 64; code <= 128; ++code) {
    EXPECT_NEAR(response.light(code / 65535.0, 0), low + (high - low) * (code - 64) / 64.0, 2e-7);
  }
  expect_light(
      response,
      [](double c) { return c <= 0.04045 ? c / 12.92 : std::pow((c + 0.055) / 1.055, 2.4); },
      0.07);  // the table's own entries are whole 65535ths: 1/15 at code 64
}

TEST(IccResponse, darks_of_AdobeRGB_are_exact_where_the_optimised_transform_is_not) {
  // github.com/mm2/Little-CMS/issues/248: 16 bit to a linear space cannot be optimised.
  const Bytes bytes = rgb(gamma_curve(kAdobeGamma));
  const Response response = usable(bytes, 3);
  EXPECT_NEAR(65535 * response.light(500 / 65535.0, 0),
              65535 * std::pow(500 / 65535.0, kAdobeGamma), 1e-3);
  cmsHPROFILE from = cmsOpenProfileFromMem(bytes.data(), static_cast<unsigned>(bytes.size()));
  cmsToneCurve* line = gamma_curve(1.0);
  cmsHPROFILE to = rgb_profile({line, line, line});
  cmsHTRANSFORM optimised =
      cmsCreateTransform(from, TYPE_RGB_16, to, TYPE_RGB_16, INTENT_RELATIVE_COLORIMETRIC, 0);
  const std::array<std::uint16_t, 3> in = {500, 500, 500};
  std::array<std::uint16_t, 3> out{};
  cmsDoTransform(optimised, in.data(), out.data(), 1);
  EXPECT_GT(std::log10(out[1] / (65535 * response.light(500 / 65535.0, 0))), 0.3) << "in density";
  cmsDeleteTransform(optimised);
  cmsFreeToneCurve(line);
  cmsCloseProfile(from);
  cmsCloseProfile(to);
}

TEST(IccResponse, gray_runs_to_luminance_under_either_connection_space) {
  // Under Lab, a straight kTRC means lightness: half is Y 0.184, not 0.5.
  const Bytes lightness = gray(gamma_curve(1.0), cmsSigLabData);
  EXPECT_NEAR(usable(lightness, 1).light(0.5, 0), 0.184, 5e-4);
  for (const Bytes& bytes : {lightness, gray(gamma_curve(1.0)), gray(gamma_curve(2.2)),
                             gray(srgb_table(1024)), gray(srgb_table(1024), cmsSigLabData)}) {
    const std::vector<double> reference = reference_luminance(bytes, 1);
    const Response response = usable(bytes, 1);
    for (int code = 0; code < 65536; code += 3) {
      ASSERT_NEAR(response.light(code / 65535.0, 0), reference[code], 2e-5) << code;
    }
  }
}

TEST(IccResponse, tables_that_pass_or_miss_one_are_scaled_to_their_white) {
  const Response response = usable(rgb(srgb_table(256, 60000)), 3);
  EXPECT_EQ(response.light(1.0, 0), 1.0);
  EXPECT_LE(*std::ranges::max_element(response.curves->front()), 1.0F);
}

TEST(IccResponse, keeps_three_curves_apart_without_mixing_channels) {
  std::array<cmsToneCurve*, 3> curves = {gamma_curve(1.0), gamma_curve(2.0), gamma_curve(3.0)};
  const Bytes bytes = saved(rgb_profile(curves));
  cmsFreeToneCurveTriple(curves.data());
  const Response response = usable(bytes, 3);
  for (int channel = 0; channel < 3; ++channel) {
    EXPECT_NEAR(response.light(0.5, channel), std::pow(0.5, channel + 1), 1e-5);
  }
  EXPECT_NEAR(usable(bytes, 1).light(0.5, 0), 0.25, 1e-5) << "green serves a gray scan";
}

TEST(IccResponse, gray_profile_serves_rgb) {
  const Response response = usable(gray(gamma_curve(2.0)), 3);
  EXPECT_NEAR(response.light(0.5, 2), 0.25, 1e-5);
}

/// An RGB profile of a colour look-up table alone: every channel squared, then to Lab.
Bytes table_profile() {
  cmsHPROFILE profile = cmsCreateProfilePlaceholder(nullptr);
  cmsSetProfileVersion(profile, 4.3);
  cmsSetDeviceClass(profile, cmsSigInputClass);
  cmsSetColorSpace(profile, cmsSigRgbData);
  cmsSetPCS(profile, cmsSigXYZData);
  cmsToneCurve* line = gamma_curve(1.0);
  std::array<cmsToneCurve*, 3> lines = {line, line, line};
  cmsPipeline* pipeline = cmsPipelineAlloc(nullptr, 3, 3);
  cmsStage* table = cmsStageAllocCLut16bit(nullptr, 33, 3, 3, nullptr);
  cmsStageSampleCLut16bit(
      table,
      [](const cmsUInt16Number* in, cmsUInt16Number* out, void*) -> cmsInt32Number {
        const std::array<double, 3> d50 = {0.9642, 1.0, 0.8249};
        for (int i = 0; i < 3; ++i) {
          // XYZ is kept as 1.15 fixed point: 1.0 is 32768 of 65535.
          const double light = std::pow(in[1] / 65535.0, 2.0);
          out[i] = static_cast<cmsUInt16Number>(std::lround(light * d50[i] * 32768));
        }
        return 1;
      },
      nullptr, 0);
  cmsPipelineInsertStage(pipeline, cmsAT_END, cmsStageAllocToneCurves(nullptr, 3, lines.data()));
  cmsPipelineInsertStage(pipeline, cmsAT_END, table);
  cmsPipelineInsertStage(pipeline, cmsAT_END, cmsStageAllocToneCurves(nullptr, 3, lines.data()));
  cmsWriteTag(profile, cmsSigAToB0Tag, pipeline);
  cmsPipelineFree(pipeline);
  cmsFreeToneCurve(line);
  return saved(profile);
}

TEST(IccResponse, look_up_table_profiles_use_the_neutral_ramp_and_are_flagged) {
  const Bytes bytes = table_profile();
  const IccResponse result = response_from_icc(bytes, 3);
  ASSERT_TRUE(result.response) << name_of(result.fault);
  EXPECT_TRUE(result.flags.contains(Flag::profile_not_per_channel));
  const std::vector<double> reference = reference_luminance(bytes, 3);
  for (int code = 0; code < 65536; code += 7) {
    ASSERT_NEAR(result.response->light(code / 65535.0, 1), reference[code], 1e-6) << code;
  }
  EXPECT_NEAR(result.response->light(0.5, 0), 0.25, 1e-3);
}

TEST(IccResponse, refuses_profiles_that_are_damaged_or_for_something_else) {
  const auto refusal_of = [](const Bytes& bytes) {
    const IccResponse result = response_from_icc(bytes, 3);
    EXPECT_FALSE(result.response);
    return result;
  };
  Bytes cut = rgb(srgb_table(1024));
  cut.resize(700);
  EXPECT_EQ(refusal_of({}).fault, ProfileFault::damaged);
  EXPECT_EQ(refusal_of(Bytes(5000, std::byte{0x5A})).fault, ProfileFault::damaged);
  EXPECT_NE(refusal_of(cut).fault, ProfileFault::none);
  EXPECT_EQ(refusal_of(saved(cmsCreateLab4Profile(nullptr))).space, "Lab");
  cmsToneCurve* line = gamma_curve(1.0);
  std::array<cmsToneCurve*, 4> lines = {line, line, line, line};
  const Bytes link = saved(cmsCreateLinearizationDeviceLink(cmsSigCmykData, lines.data()));
  EXPECT_EQ(refusal_of(link).fault, ProfileFault::other_space);
  EXPECT_EQ(refusal_of(link).space, "CMYK");
  cmsFreeToneCurve(line);
  const std::array<cmsUInt16Number, 2> falling = {65535, 0};
  EXPECT_EQ(refusal_of(rgb(cmsBuildTabulatedToneCurve16(nullptr, 2, falling.data()))).fault,
            ProfileFault::falling);
}

TEST(IccResponse, survives_every_truncation_and_single_byte_damage) {
  const Bytes whole = rgb(srgb_table(256), 2.1);
  for (std::size_t size = 0; size < whole.size(); size += 13) {
    response_from_icc(std::span(whole).first(size), 3);
  }
  for (std::size_t place = 0; place < whole.size(); place += 5) {
    Bytes damaged = whole;
    damaged[place] ^= std::byte{0xFF};
    const IccResponse result = response_from_icc(damaged, 3);
    if (!result.response) {
      EXPECT_NE(result.fault, ProfileFault::none);
      continue;
    }
    ASSERT_THAT(result.response->light(1.0, 0), 1.0);
  }
}

TEST(IccResponse, serves_several_threads_at_once) {
  const Bytes bytes = gray(srgb_table(256), cmsSigLabData);
  std::vector<double> half(4);
  std::vector<std::thread> threads;
  for (double& value : half) {
    threads.emplace_back([&] { value = response_from_icc(bytes, 1).response->light(0.5, 0); });
  }
  for (std::thread& thread : threads) thread.join();
  EXPECT_THAT(half, Each(half.front()));
}

TEST(IccResponse, names_the_profile) {
  const ResponseSource source = usable(rgb(gamma_curve(1.0)), 3).source;
  EXPECT_EQ(source.kind, SourceKind::profile);
  EXPECT_FALSE(source.name.empty());
}

/// Profiles that Debian's packages colord-data and icc-profiles-free install, with the light at
/// half scale that their tone curves are published to give.
TEST(IccResponse, published_profiles_give_their_curves) {
  struct Published {
    const char* path;
    int channels;
    double half;
  };
  const double srgb_half = 0.21404;
  const std::array published = {
      Published{"colord/AdobeRGB1998.icc", 3, std::pow(0.5, kAdobeGamma)},
      Published{"colord/AppleRGB.icc", 3, std::pow(0.5, 1.8)},
      Published{"colord/sRGB.icc", 3, srgb_half},
      Published{"colord/ProPhotoRGB.icc", 3, std::pow(0.5, 1.8)},
      Published{"sRGB.icc", 3, srgb_half},
      Published{"LStar-RGB.icc", 3, 0.18419},  // CIE 1976 lightness of 50
      Published{"Gray-CIE_L.icc", 1, 0.18419},
      Published{"Gray.icc", 1, 0.5},
  };
  int found = 0;
  for (const Published& profile : published) {
    std::ifstream in(std::filesystem::path("/usr/share/color/icc") / profile.path,
                     std::ios::binary);
    if (!in) continue;
    ++found;
    const std::string text(std::istreambuf_iterator<char>(in), {});
    const auto bytes = std::as_bytes(std::span(text));
    const IccResponse result = response_from_icc(bytes, profile.channels);
    ASSERT_TRUE(result.response) << profile.path << name_of(result.fault);
    EXPECT_NEAR(result.response->light(0.5, 0), profile.half, 5e-4) << profile.path;
  }
  if (found == 0) GTEST_SKIP() << "neither colord-data nor icc-profiles-free is installed";
}

}  // namespace
}  // namespace basefog::response
