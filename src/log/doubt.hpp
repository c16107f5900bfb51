// SPDX-License-Identifier: GPL-3.0-or-later
// Doubts about a written value, as sentences that follow the value.
#pragma once

#include <string>

#include "core/plain_text.hpp"

namespace basefog::log {

/// Two marks one stop apart as engraved, with their rounding (f/1.2 is 0.14 stop off).
inline constexpr double kOneStopOfMarks = 1.15;

/// Takes brackets and what says "about" or "?" off a plain-form value; the doubt, or nothing.
std::string take_hedge(std::string& plain);

/// The doubt about words that a parser left behind; empty when none are.
std::string left_over(const Cursor& cursor);

/// Adds a doubt to others.
void add_doubt(std::string& doubts, const std::string& doubt);

}  // namespace basefog::log
