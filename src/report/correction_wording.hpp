// SPDX-License-Identifier: GPL-3.0-or-later
#pragma once

#include <string>

#include "basefog/reading/frame_reading.hpp"

namespace basefog::report {

/// What the picture needed, best value first: "under 1.4", "over 0.8", "well exposed".
std::string needed_text(const reading::FrameReading& reading);

/// The range of what it needed, in the direction of the best value ("1.1 to 2.1" of "under 1.4");
/// where the range reaches beyond none or the picture was well exposed, with signs, + for more
/// ("-0.3 to +0.4"). Empty where an end is not known.
std::string needed_range(const reading::FrameReading& reading);

/// How sure a verdict is.
enum class Sureness { sure, likely, unsure };
std::string_view word_of(Sureness sureness);

/// From nine tenths on a verdict is sure, from two thirds likely (judgement). The verdict: under,
/// well exposed or over, however strongly.
Sureness sureness_of(const reading::FrameReading& reading);

}  // namespace basefog::report
