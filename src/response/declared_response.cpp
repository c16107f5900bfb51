// SPDX-License-Identifier: GPL-3.0-or-later
#include "response/declared_response.hpp"

#include <algorithm>
#include <cmath>
#include <memory>
#include <string>
#include <utility>

#include "response/monotone_light.hpp"

namespace basefog::response {
namespace {

/// Adobe RGB (1998): 2 + 51/256 [AdobeRGB, 4.3.4.2].
constexpr double kAdobeRgbGamma = 563.0 / 256.0;

/// How far the exponent may be off where it was assumed, as a standard deviation. Published
/// "linear" scans have been measured with exponents of 1.35 [LeafWedge]; an assumption is no better
/// than that.
constexpr double kAssumedLinearSigma = 0.12;
/// Cameras and scanning software lay a tone curve of their own over sRGB in 8-bit files.
constexpr double kAssumedDisplaySigma = 0.15;

/// Sensors and their converters are linear within about a per cent (common practice).
constexpr double kSensorSigma = 0.01;

Response make(ResponseKind kind, double gamma, ResponseSource source, double sigma) {
  Response response;
  response.kind = kind;
  response.gamma = gamma;
  response.source = std::move(source);
  response.relative_sigma = sigma;
  return response;
}

bool plausible_gamma(double gamma) { return gamma >= 0.1 && gamma <= 10.0; }

}  // namespace

std::optional<Response> response_from_exif(std::optional<int> colour_space,
                                           std::string_view interoperability_index,
                                           std::optional<double> gamma) {
  constexpr int kSrgb = 1;
  constexpr int kAdobeRgb = 2;  // not in Exif, but written by some cameras (common practice)
  if (colour_space == kSrgb) {
    return make(ResponseKind::srgb, 1.0, {SourceKind::exif, "sRGB"}, kStatedResponseSigma);
  }
  if (colour_space == kAdobeRgb || interoperability_index == "R03") {
    return make(ResponseKind::gamma, kAdobeRgbGamma, {SourceKind::exif, "Adobe RGB"},
                kStatedResponseSigma);
  }
  if (gamma && plausible_gamma(*gamma)) {
    return make(ResponseKind::gamma, *gamma, {SourceKind::exif, "Gamma"}, kStatedResponseSigma);
  }
  return std::nullopt;
}

std::optional<Response> response_from_png(bool has_srgb_chunk, std::optional<double> file_gamma) {
  if (has_srgb_chunk) {
    return make(ResponseKind::srgb, 1.0, {SourceKind::png, "sRGB"}, kStatedResponseSigma);
  }
  if (file_gamma && plausible_gamma(*file_gamma)) {
    return make(ResponseKind::gamma, 1.0 / *file_gamma, {SourceKind::png, "gamma"},
                kStatedResponseSigma);
  }
  return std::nullopt;
}

Response sensor_response() {
  return make(ResponseKind::linear, 1.0, {SourceKind::sensor}, kSensorSigma);
}

Response assumed_response(ScanFormat format, int bits_per_sample) {
  constexpr int kByte = 8;
  if (format == ScanFormat::tiff && bits_per_sample > kByte) {
    return make(ResponseKind::linear, 1.0, {SourceKind::assumed_tiff}, kAssumedLinearSigma);
  }
  const SourceKind kind = format == ScanFormat::tiff   ? SourceKind::assumed_8bit_tiff
                          : format == ScanFormat::jpeg ? SourceKind::assumed_jpeg
                                                       : SourceKind::assumed_png;
  return make(ResponseKind::srgb, 1.0, {kind}, kAssumedDisplaySigma);
}

}  // namespace basefog::response
