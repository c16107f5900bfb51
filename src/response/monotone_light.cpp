// SPDX-License-Identifier: GPL-3.0-or-later
#include "response/monotone_light.hpp"

#include <algorithm>
#include <cmath>

namespace basefog::response {

bool make_monotone_light(std::vector<float>& light) {
  constexpr float kDeepestFall = 0.01F;  // of the whole: rounding of tables, not a bent curve
  if (light.size() < 2) return false;
  if (!std::ranges::all_of(light, [](float v) { return std::isfinite(v); })) return false;
  const float white = light.back();
  if (!(white > 0) || !(white > light.front())) return false;
  float highest = 0;
  for (float& value : light) {
    value = std::max(value / white, 0.0F);
    if (value < highest - kDeepestFall) return false;
    highest = std::max(highest, value);
    value = std::min(highest, 1.0F);
  }
  return true;
}

}  // namespace basefog::response
