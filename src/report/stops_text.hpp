// SPDX-License-Identifier: GPL-3.0-or-later
// Stops in the words of advice and settings.
#pragma once

#include <string>

#include "basefog/core/exposure_point.hpp"

namespace basefog::report {

/// "+0.8", "-0.6", "0.0": one decimal, halves away from zero, never "-0.0".
std::string signed_stops(Stops stops);
template <class Zero>
std::string signed_stops(ExposurePoint<Zero> point) {
  return signed_stops(in_stops(point));
}
/// To the nearest third, as people write it: "+1 1/3", "-2/3", "0".
std::string stops_in_thirds(Stops stops);
/// "0.7 stop", "1.3 stops": how much, without the sign.
std::string amount_of_stops(Stops stops);
/// "+0.8 to +1.9"; "at least +0.8" where only that end is known.
std::string interval_text(const StopsEstimate& estimate);
/// "1 frame", "5 frames".
std::string frames_text(int frames);
/// "-0.5 (-0.7 to -0.3) over 24 frames".
std::string evidence_text(const StopsEstimate& estimate, int frames);

}  // namespace basefog::report
