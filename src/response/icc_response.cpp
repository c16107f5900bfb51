// SPDX-License-Identifier: GPL-3.0-or-later
#include "response/icc_response.hpp"

#include <lcms2.h>

#include <algorithm>
#include <array>
#include <cmath>
#include <memory>
#include <utility>
#include <vector>

#include "response/monotone_light.hpp"

namespace basefog::response {
namespace {

/// One sample a 16-bit code; 8-bit codes fall on every 257th, so no scan is interpolated.
constexpr int kSamples = 65536;
constexpr double kFullScale = kSamples - 1;

struct ContextDeleter {
  void operator()(cmsContext context) const { cmsDeleteContext(context); }
};
struct ProfileDeleter {
  void operator()(cmsHPROFILE profile) const { cmsCloseProfile(profile); }
};
struct TransformDeleter {
  void operator()(cmsHTRANSFORM transform) const { cmsDeleteTransform(transform); }
};
// The handles of Little CMS are void or incomplete pointers.
using Context = std::unique_ptr<std::remove_pointer_t<cmsContext>, ContextDeleter>;
using Profile = std::unique_ptr<void, ProfileDeleter>;
using Transform = std::unique_ptr<void, TransformDeleter>;

/// Light over 16-bit codes from one tone curve tag. Gamma and parametric curves are evaluated by
/// Little CMS in floating point. Table curves are interpolated here from their own entries: Little
/// CMS rounds both ends of a table curve to 16 bits even in its floating-point call.
std::vector<float> sample(const cmsToneCurve* curve) {
  std::vector<float> light(kSamples);
  if (cmsGetToneCurveParametricType(curve) != 0) {
    for (int code = 0; code < kSamples; ++code) {
      light[code] = cmsEvalToneCurveFloat(curve, static_cast<float>(code / kFullScale));
    }
    return light;
  }
  const cmsUInt16Number* entries = cmsGetToneCurveEstimatedTable(curve);
  const auto count = static_cast<int>(cmsGetToneCurveEstimatedTableEntries(curve));
  for (int code = 0; code < kSamples; ++code) {
    const double place = code / kFullScale * (count - 1);
    const int below = std::min(static_cast<int>(place), std::max(count - 2, 0));
    const int above = std::min(below + 1, count - 1);
    const double rest = place - below;
    light[code] =
        static_cast<float>(((1 - rest) * entries[below] + rest * entries[above]) / kFullScale);
  }
  return light;
}

/// CIE 1976 lightness 0..1 to relative luminance [CIE15, 8.2.1].
float luminance_of_lightness(float lightness) {
  constexpr double kToeEnd = 8.0;  // of L*, and its slope below, 24389/27
  constexpr double kToeSlope = 24389.0 / 27.0;
  const double l = 100.0 * lightness;
  return static_cast<float>(l > kToeEnd ? std::pow((l + 16.0) / 116.0, 3.0) : l / kToeSlope);
}

/// Luminance of equal codes in all channels through the whole profile to XYZ. In floating point and
/// not optimised: the optimised 16-bit way is wrong by 0.4 of density at D 4.
std::optional<std::vector<float>> neutral_ramp(cmsContext context, cmsHPROFILE profile,
                                               int channels) {
  const Profile xyz(cmsCreateXYZProfileTHR(context));
  if (!xyz) return std::nullopt;
  const cmsUInt32Number input = channels == 1 ? TYPE_GRAY_FLT : TYPE_RGB_FLT;
  const Transform transform(cmsCreateTransformTHR(context, profile, input, xyz.get(), TYPE_XYZ_FLT,
                                                  INTENT_RELATIVE_COLORIMETRIC,
                                                  cmsFLAGS_NOOPTIMIZE | cmsFLAGS_NOCACHE));
  if (!transform) return std::nullopt;
  std::vector<float> codes(static_cast<std::size_t>(kSamples) * channels);
  for (std::size_t i = 0; i < codes.size(); ++i) {
    const std::size_t code = i / channels;
    codes[i] = static_cast<float>(static_cast<double>(code) / kFullScale);
  }
  std::vector<std::array<float, 3>> tristimulus(kSamples);
  cmsDoTransform(transform.get(), codes.data(), tristimulus.data(), kSamples);
  std::vector<float> light(kSamples);
  std::ranges::transform(tristimulus, light.begin(), [](const auto& value) { return value[1]; });
  return light;
}

const cmsToneCurve* curve_tag(cmsHPROFILE profile, cmsTagSignature tag) {
  return static_cast<const cmsToneCurve*>(cmsReadTag(profile, tag));
}

/// Gray: kTRC runs to Y under an XYZ connection space, but to L* under a Lab one [ICC.1, 9.2.30].
std::optional<std::vector<float>> gray_light(cmsContext context, cmsHPROFILE profile) {
  const cmsToneCurve* curve = curve_tag(profile, cmsSigGrayTRCTag);
  if (curve == nullptr) return neutral_ramp(context, profile, 1);
  std::vector<float> light = sample(curve);
  if (cmsGetPCS(profile) == cmsSigLabData) {
    std::ranges::transform(light, light.begin(), luminance_of_lightness);
  }
  return light;
}

std::optional<ResponseCurves> rgb_light(cmsHPROFILE profile, int channels) {
  static constexpr std::array kTags = {cmsSigRedTRCTag, cmsSigGreenTRCTag, cmsSigBlueTRCTag};
  ResponseCurves light;
  for (const cmsTagSignature tag : kTags) {
    if (channels == 1 && tag != cmsSigGreenTRCTag) continue;
    const cmsToneCurve* curve = curve_tag(profile, tag);
    if (curve == nullptr) return std::nullopt;
    light.push_back(sample(curve));
  }
  return light;
}

std::string description(cmsHPROFILE profile) {
  std::array<char, 256> text{};
  cmsGetProfileInfoASCII(profile, cmsInfoDescription, "en", "GB", text.data(), text.size());
  return text.data();
}

std::string signature_text(std::uint32_t signature) {
  std::string text;
  for (const int shift : {24, 16, 8, 0}) {
    const char c = static_cast<char>((signature >> shift) & 0xFFU);
    text += c >= ' ' && c <= '~' ? c : '?';
  }
  return text.substr(0, text.find_last_not_of(' ') + 1);
}

IccResponse refused(ProfileFault fault, std::string space = "") {
  return {std::nullopt, {}, fault, std::move(space)};
}

bool describes_pictures(cmsProfileClassSignature profile_class) {
  return profile_class == cmsSigInputClass || profile_class == cmsSigDisplayClass ||
         profile_class == cmsSigOutputClass || profile_class == cmsSigColorSpaceClass;
}

}  // namespace

IccResponse response_from_icc(std::span<const std::byte> bytes, int channels) {
  // A context of its own keeps the error handler, which is global otherwise, to this call.
  const Context context(cmsCreateContext(nullptr, nullptr));
  cmsSetLogErrorHandlerTHR(context.get(), [](cmsContext, cmsUInt32Number, const char*) {});
  const Profile profile(cmsOpenProfileFromMemTHR(context.get(), bytes.data(),
                                                 static_cast<cmsUInt32Number>(bytes.size())));
  if (!profile) return refused(ProfileFault::damaged);
  const cmsColorSpaceSignature space = cmsGetColorSpace(profile.get());
  if (!describes_pictures(cmsGetDeviceClass(profile.get())) ||
      (space != cmsSigGrayData && space != cmsSigRgbData)) {
    return refused(ProfileFault::other_space, signature_text(space));
  }

  IccResponse result;
  ResponseCurves curves;
  if (space == cmsSigGrayData) {
    if (auto light = gray_light(context.get(), profile.get())) curves.push_back(*std::move(light));
  } else if (cmsIsMatrixShaper(profile.get())) {
    if (auto light = rgb_light(profile.get(), channels)) curves = *std::move(light);
  } else if (auto light = neutral_ramp(context.get(), profile.get(), 3)) {
    curves.push_back(*std::move(light));
    result.flags.insert(Flag::profile_not_per_channel);
  }
  if (curves.empty()) return refused(ProfileFault::no_curve);
  for (std::vector<float>& curve : curves) {
    if (!make_monotone_light(curve)) {
      return refused(ProfileFault::falling);
    }
  }
  if (std::ranges::all_of(curves, [&](const auto& curve) { return curve == curves.front(); })) {
    curves.resize(1);
  }

  Response response;
  response.kind = ResponseKind::icc;
  response.source = {SourceKind::profile, description(profile.get())};
  response.curves = std::make_shared<const ResponseCurves>(std::move(curves));
  response.relative_sigma = kStatedResponseSigma;
  result.response = std::move(response);
  return result;
}

}  // namespace basefog::response
