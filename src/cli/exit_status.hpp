// SPDX-License-Identifier: GPL-3.0-or-later
#pragma once

#include "basefog/roll/analysis.hpp"
#include "manual/exit_states.hpp"

namespace basefog::cli {

using manual::ExitStatus;
using enum manual::ExitStatus;

/// Exit status of a reviewed roll. A blank frame is dealt with: it was seen to hold no picture.
ExitStatus exit_status_of(const roll::Analysis& analysis);

/// Names on standard error each scan that could not be read, where no table does.
void say_unreadable(const roll::Analysis& analysis);

}  // namespace basefog::cli
