// SPDX-License-Identifier: GPL-3.0-or-later
#pragma once

#include "basefog/roll/analysis.hpp"

namespace basefog::roll {

/// Where the densities of the roll's measured frames cannot be right under the response that their
/// scans were read with, flags those frames and warns once.
void check_response(Analysis& analysis);

}  // namespace basefog::roll
