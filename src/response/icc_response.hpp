// SPDX-License-Identifier: GPL-3.0-or-later
#pragma once

#include <cstddef>
#include <optional>
#include <span>
#include <string>

#include "basefog/core/quality.hpp"
#include "basefog/response/response.hpp"

namespace basefog::response {

/// What an embedded profile says of the tone curve.
struct IccResponse {
  /// Absent where the profile cannot be used; fault then says why.
  std::optional<Response> response;
  FlagSet flags;  ///< profile_not_per_channel
  ProfileFault fault = ProfileFault::none;
  std::string space;  ///< of ProfileFault::other_space: what it is for, "CMYK"
};

/// Tone curves of an ICC profile, sampled at the 65536 codes of 16 bits; no gamut conversion, so
/// the channels stay the scanner's own. Identical curves are kept once. Light is relative to the
/// profile's own white, and never falls. channels is 1 (gray) or 3 (RGB), as in the scan; a gray
/// profile serves RGB, and an RGB profile's green curve serves gray. Never throws for a bad
/// profile: see IccResponse::fault. Safe to call from several threads. Accuracy: that of the
/// profile; table curves are interpolated in floating point, since Little CMS itself rounds them to
/// 16 bits, which is 0.03 of density at D 4
/// (IccResponse.tables_are_not_rounded_to_16_bits_in_the_darks).
IccResponse response_from_icc(std::span<const std::byte> profile, int channels);

}  // namespace basefog::response
