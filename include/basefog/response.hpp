// SPDX-License-Identifier: GPL-3.0-or-later
#pragma once

#include <filesystem>
#include <memory>
#include <string>
#include <string_view>
#include <vector>

namespace basefog {

enum class ResponseKind {
  linear,      ///< code is proportional to light
  gamma,       ///< light = code^gamma
  srgb,        ///< IEC 61966-2-1
  icc,         ///< tone curves of the embedded profile
  calibrated,  ///< a response file, from a step tablet
};

/// How a scan's code values stand for light: code as a fraction of full scale (0 to 1) to linear
/// transmittance relative to full scale, one curve a channel, monotone rising.
struct Response {
  ResponseKind kind = ResponseKind::linear;
  double gamma = 1.0;  ///< for ResponseKind::gamma only
  /// Where it was taken from: "--response linear", "profile 'Gray Gamma 2.2'", "assumed". Printed.
  std::string source;
  /// icc, calibrated: evenly spaced samples of the curve over codes 0 to 1, one vector a channel or
  /// one for all. At least 2 samples each.
  std::vector<std::vector<float>> curves;
  /// Standard deviation of a density difference of 1 read through this response, as a fraction:
  /// 0.02 means that a true 1.00 may read 0.98 to 1.02 (1 sigma). Larger where it was assumed.
  double relative_sigma = 0.0;
  /// Net density above which the response is not to be trusted; infinity where nothing is known.
  double densest = 1e9;

  /// Linear light for a code fraction; codes outside 0..1 are clamped. channel as in the scan.
  double light(double code, int channel) const;
};

/// From the text of --response: "linear", "srgb", "gamma=2.2", or the path of a response file.
/// Throws InputError (usage, not_found, malformed).
Response parse_response(std::string_view text);

}  // namespace basefog
