// SPDX-License-Identifier: GPL-3.0-or-later
#pragma once

#include <filesystem>
#include <limits>
#include <memory>
#include <optional>
#include <string>
#include <string_view>
#include <vector>

#include "basefog/core/units.hpp"

namespace basefog::response {

/// What form a response has.
enum class ResponseKind {
  linear,      ///< code is proportional to light
  gamma,       ///< light = code^gamma
  srgb,        ///< IEC 61966-2-1
  icc,         ///< tone curves of the embedded profile
  calibrated,  ///< a response file, from a step tablet
};
constexpr ResponseKind last_of(ResponseKind) { return ResponseKind::calibrated; }
std::string_view name_of(ResponseKind kind);  ///< as in scan records

/// Where a response was taken from.
enum class SourceKind {
  option,             ///< --response; name: its words, "gamma=2.2"
  response_file,      ///< name: its path; detail: where the file says that it comes from
  profile,            ///< the scan's own; name: its description, may be empty
  exif,               ///< declared there; name: of the encoding, "sRGB"
  png,                ///< declared by a chunk; name: "sRGB" or "gamma"
  sensor,             ///< values of a raw file
  assumed_tiff,       ///< of 16 bits or more, in which nothing declares the response: linear
  assumed_8bit_tiff,  ///< likewise: sRGB
  assumed_jpeg,       ///< likewise: sRGB
  assumed_png,        ///< likewise: sRGB
  inferred_tiff,      ///< of 16 bits or more, by what the roll's densities show: sRGB
  recorded,           ///< name: the words of a record that an earlier version wrote
};
constexpr SourceKind last_of(SourceKind) { return SourceKind::recorded; }
std::string_view name_of(SourceKind kind);  ///< in a few words, "response file"

/// Why a profile gives no response.
enum class ProfileFault {
  none,         ///< it gives one, or there is none
  damaged,      ///< not a whole ICC profile
  other_space,  ///< made for neither gray nor RGB pictures
  no_curve,     ///< no tone curve that can be read
  falling,      ///< its tone curve does not rise with the code
};
constexpr ProfileFault last_of(ProfileFault) { return ProfileFault::falling; }
std::string_view name_of(ProfileFault fault);  ///< as in scan records

/// Where a response was taken from, and by what name.
struct ResponseSource {
  SourceKind kind = SourceKind::option;  ///< says what the names below stand for
  std::string name;                      ///< as SourceKind says; else empty
  std::string detail;                    ///< likewise
  /// Of an assumed response: why the scan's profile was not used, and the colour space that it is
  /// for.
  ProfileFault profile_fault = ProfileFault::none;
  std::string profile_space;  ///< "CMYK"; else empty
};
/// One line that names a source and no other: "profile Gray Gamma 2.2". For comparing.
std::string name_of(const ResponseSource& source);

/// Evenly spaced samples of light over codes 0 to 1, first sample at 0, last at 1: one curve a
/// channel, or one for all. At least 2 samples each; never falling.
using ResponseCurves = std::vector<std::vector<float>>;

/// How a scan's code values stand for light: code as a fraction of full scale (0 to 1) to linear
/// transmittance relative to full scale, so light(1) = 1. One curve a channel, monotone rising.
struct Response {
  ResponseKind kind = ResponseKind::linear;  ///< what light() goes by
  double gamma = 1.0;                        ///< for ResponseKind::gamma only
  ResponseSource source;                     ///< where it was taken from
  /// icc, calibrated: the curves; shared between all scans under the same response, never changed.
  std::shared_ptr<const ResponseCurves> curves;
  /// Standard deviation of a density difference of 1 read through this response, as a fraction:
  /// 0.02 means that a true 1.00 may read 0.98 to 1.02 (1 sigma). Larger where it was assumed.
  double relative_sigma = 0.0;
  /// Density against full scale beyond which the response is not to be trusted: where the tablet
  /// ended, or the scanner's own noise. Infinite where nothing is known.
  Density densest = Density::from_value(std::numeric_limits<double>::infinity());

  /// Linear light, 0 to 1, for a code fraction; codes outside 0..1 are clamped, NaN reads as 0.
  /// channel as in the scan; a response with one curve serves every channel. Accuracy: exact to
  /// double rounding for linear, gamma and srgb (Response.linear_and_gamma_are_powers_of_the_code,
  /// Response.srgb_matches_IEC61966_2_1); curves are interpolated linearly.
  double light(double code, int channel) const;
};

/// Standard deviation, as a fraction of density, of a response that the user or the file states and
/// nobody measured. Flare and an exponent a few hundredths off are usual in scanners (common
/// practice).
inline constexpr double kStatedResponseSigma = 0.03;

/// From the text of --response: "linear", "srgb", "gamma=2.2" (0.1 to 10), or the path of a
/// response file. Throws InputError (usage, not_found, malformed).
Response parse_response(std::string_view text);

/// What the densities found on a scan or a roll can say against its response.
struct DensityWitness {
  NetDensity densest;  ///< the 99.9th percentile of net density within the frames, all channels
  int frames = 1;      ///< how many pictures that was taken over
  /// Density of clear film, only where it is known against the bare light (--light).
  std::optional<Density> clear_film;
};

/// What speaks against a response.
enum class ResponseDoubt {
  none,            ///< nothing speaks against it
  too_dense,       ///< densities that no film reaches
  too_thin,        ///< several pictures, and none has the highlights that film shows
  film_too_clear,  ///< clear film as bright as the bare light, or brighter
  tone_curve,      ///< nothing stated; the roll's densities show a display's tone curve
};

/// Whether a response can be right at all: net density over 3.5, no highlight over 0.6 in four
/// pictures or more (only where the response was not measured), or clear film under 0.01 against
/// the bare light. Limits: common practice, and the published curves in tests/golden.
ResponseDoubt doubt_response(const Response& response, const DensityWitness& witness);

}  // namespace basefog::response
