// SPDX-License-Identifier: GPL-3.0-or-later
#pragma once

#include "basefog/roll/analysis.hpp"

namespace basefog::roll {

/// Gives every frame whose picture was under or over the settings that would have helped, with the
/// film speed dial as it was. Needs the log and, for speeds that are off, the meter's effects.
void replace_settings(Analysis& analysis);

}  // namespace basefog::roll
