// SPDX-License-Identifier: GPL-3.0-or-later
#pragma once

#include <span>

#include "basefog/roll/analysis.hpp"

namespace basefog::cli {

/// Exit status of `basefog`; `exit_states` says it in words.
enum ExitStatus {
  kAllMeasured = 0,
  kSomeNotMeasured = 1,
  kUsage = 2,
  kNothingMeasured = 3,
};

struct ExitState {
  ExitStatus status;
  const char* text;  ///< a sentence
};
std::span<const ExitState> exit_states();

/// Of a reviewed roll. A blank frame is dealt with: it was seen to hold no picture.
ExitStatus exit_status_of(const roll::Analysis& analysis);

/// Names on standard error each scan that could not be read, where no table does.
void say_unreadable(const roll::Analysis& analysis);

}  // namespace basefog::cli
