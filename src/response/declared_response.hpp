// SPDX-License-Identifier: GPL-3.0-or-later
#pragma once

#include <optional>
#include <string_view>

#include "basefog/response/response.hpp"

namespace basefog::response {

/// From Exif's ColorSpace (0xA001), InteroperabilityIndex (0x0001 of the Interop directory; "R98",
/// "R03", "THM" or empty) and Gamma (0xA500) [Exif]. Absent when they declare nothing: no tag, or
/// uncalibrated without R03 and Gamma.
std::optional<Response> response_from_exif(std::optional<int> colour_space,
                                           std::string_view interoperability_index,
                                           std::optional<double> gamma);

/// From PNG's sRGB and gAMA chunks [PNG, 11.3.2]: the sRGB chunk wins; file_gamma is the gAMA value
/// divided by 100000 (0.45455 for light = code^2.2). Absent when neither declares anything usable.
std::optional<Response> response_from_png(bool has_srgb_chunk, std::optional<double> file_gamma);

/// For sensor values of a raw file or a linear DNG, black level taken off: proportional to light.
Response sensor_response();

enum class ScanFormat { tiff, jpeg, png };

/// What is assumed when a file declares nothing: 16-bit and float TIFF linear, since who scans to
/// deep TIFF without a profile mostly wants the scanner's own values (common practice); 8-bit TIFF,
/// made for a display, PNG and JPEG sRGB. The caller adds the flag response_assumed. relative_sigma
/// covers a wrong exponent, not a wholly wrong assumption: that shows in doubt_response().
Response assumed_response(ScanFormat format, int bits_per_sample);

}  // namespace basefog::response
