// SPDX-License-Identifier: GPL-3.0-or-later
#pragma once

#include <vector>

namespace basefog::response {

/// Makes sampled light usable as a response: scaled so that the last sample is 1, clamped below at
/// 0, and never falling (running maximum). False, and the curve is to be thrown away, where it is
/// not a rising curve at all: a value that is not finite, an end no brighter than the start, or a
/// fall of more than a hundredth of the whole.
bool make_monotone_light(std::vector<float>& light);

}  // namespace basefog::response
