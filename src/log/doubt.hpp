// SPDX-License-Identifier: GPL-3.0-or-later
// Doubts about a written value.
#pragma once

#include <string>

#include "basefog/log/remark.hpp"
#include "core/plain_text.hpp"

namespace basefog::log {

/// Two marks one stop apart as engraved, with their rounding (f/1.2 is 0.14 stop off).
inline constexpr double kOneStopOfMarks = 1.15;

/// Takes brackets and what says "about" or "?" off a plain-form value, and says if it was hedged.
Doubts take_hedge(std::string& plain);

/// The doubt about words that a parser left behind; none where there are none.
Doubts left_over(const Cursor& cursor);

/// Adds doubts to others.
void add(Doubts& doubts, const Doubts& more);

}  // namespace basefog::log
