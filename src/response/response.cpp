// SPDX-License-Identifier: GPL-3.0-or-later
#include "basefog/response/response.hpp"

#include <algorithm>
#include <array>
#include <charconv>
#include <cmath>
#include <string>

#include "basefog/core/error.hpp"
#include "basefog/core/film_facts.hpp"
#include "core/name_list.hpp"
#include "response/response_file.hpp"

namespace basefog::response {
namespace {

/// Decoding function of sRGB [IEC61966-2-1, 5.2]: code 0..1 to linear light 0..1.
double srgb_light(double code) {
  constexpr double kToeEnd = 0.04045;
  constexpr double kToeSlope = 12.92;
  constexpr double kOffset = 0.055;
  constexpr double kExponent = 2.4;
  if (code <= kToeEnd) return code / kToeSlope;
  return std::pow((code + kOffset) / (1.0 + kOffset), kExponent);
}

double curve_light(const std::vector<float>& curve, double code) {
  const double place = code * static_cast<double>(curve.size() - 1);
  const auto below = std::min(static_cast<std::size_t>(place), curve.size() - 2);
  const double rest = place - static_cast<double>(below);
  return curve[below] + rest * (static_cast<double>(curve[below + 1]) - curve[below]);
}

double parse_gamma(std::string_view text) {
  constexpr double kLeast = 0.1;  // and most: beyond, a slip (judgement)
  constexpr double kMost = 10.0;
  double gamma = 0;
  const auto [end, error] = std::from_chars(text.data(), text.data() + text.size(), gamma);
  if (error != std::errc() || end != text.data() + text.size() || !(gamma >= kLeast) ||
      !(gamma <= kMost)) {
    throw InputError(ErrorCode::usage, "--response gamma=" + std::string(text),
                     "is not a gamma from 0.1 to 10",
                     "write for example --response gamma=2.2 (light = code to the power of gamma)");
  }
  return gamma;
}

}  // namespace

std::string_view name_of(ResponseKind kind) {
  constexpr std::array<std::string_view, 5> kNames{"linear", "gamma", "srgb", "icc", "calibrated"};
  return name_in(kNames, kind);
}

std::string_view name_of(SourceKind kind) {
  constexpr std::array<std::string_view, kCountOf<SourceKind>> kNames{"option",
                                                                      "response file",
                                                                      "profile",
                                                                      "Exif",
                                                                      "PNG",
                                                                      "sensor",
                                                                      "assumed for a TIFF",
                                                                      "assumed for an 8-bit TIFF",
                                                                      "assumed for a JPEG",
                                                                      "assumed for a PNG",
                                                                      "inferred for a TIFF",
                                                                      "recorded"};
  return name_in(kNames, kind);
}

std::string_view name_of(ProfileFault fault) {
  constexpr std::array<std::string_view, kCountOf<ProfileFault>> kNames{
      "none", "damaged", "other space", "no curve", "falling"};
  return name_in(kNames, fault);
}

std::string name_of(const ResponseSource& source) {
  if (source.kind == SourceKind::recorded) return source.name;
  std::string name(name_of(source.kind));
  if (!source.name.empty()) name += " " + source.name;
  if (!source.detail.empty()) name += " (" + source.detail + ")";
  return name;
}

double Response::light(double code, int channel) const {
  // Written so that NaN becomes 0.
  const double inside = code > 0.0 ? std::min(code, 1.0) : 0.0;
  switch (kind) {
    case ResponseKind::linear:
      return inside;
    case ResponseKind::gamma:
      return std::pow(inside, gamma);
    case ResponseKind::srgb:
      return srgb_light(inside);
    case ResponseKind::icc:
    case ResponseKind::calibrated:
      break;
  }
  const std::size_t last = curves->size() - 1;
  return curve_light((*curves)[std::min(static_cast<std::size_t>(channel), last)], inside);
}

Response parse_response(std::string_view text) {
  constexpr std::string_view kGammaPrefix = "gamma=";
  Response response;
  response.source.name = text;
  response.relative_sigma = kStatedResponseSigma;
  if (text == "linear") return response;
  if (text == "srgb") {
    response.kind = ResponseKind::srgb;
    return response;
  }
  if (text.starts_with(kGammaPrefix)) {
    response.kind = ResponseKind::gamma;
    response.gamma = parse_gamma(text.substr(kGammaPrefix.size()));
    return response;
  }
  if (text.empty()) {
    throw InputError(ErrorCode::usage, "--response", "is empty",
                     "give linear, srgb, gamma=N or the path of a response file");
  }
  const std::filesystem::path path(text);
  response = response_of(read_response_file(path));
  response.source.name = path.string();
  return response;
}

ResponseDoubt doubt_response(const Response& response, const DensityWitness& witness) {
  constexpr int kEnoughPictures = 4;  // so that not one of them is merely thin (judgement)
  if (witness.densest > film_facts::kDensestFilm) return ResponseDoubt::too_dense;
  if (witness.clear_film && witness.clear_film->value() < film_facts::kClearestFilm) {
    return ResponseDoubt::film_too_clear;
  }
  const bool measured = response.relative_sigma < kStatedResponseSigma;
  if (!measured && witness.frames >= kEnoughPictures &&
      witness.densest < film_facts::kThinnestHighlight) {
    return ResponseDoubt::too_thin;
  }
  return ResponseDoubt::none;
}

}  // namespace basefog::response
