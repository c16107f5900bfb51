// SPDX-License-Identifier: GPL-3.0-or-later
#pragma once

#include <string>
#include <string_view>
#include <vector>

namespace basefog::manual {

/// ", did you mean review?" where `typed` is none of `words`: of these the one that fewest letters
/// left out, added, changed or swapped with their neighbour lead to. Empty where more than a third
/// of the letters would have to change (judgement), or where there are no words.
std::string suggestion(std::string_view typed, const std::vector<std::string>& words);

}  // namespace basefog::manual
