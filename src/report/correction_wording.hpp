// SPDX-License-Identifier: GPL-3.0-or-later
// A correction in words.
#pragma once

#include <string>

#include "basefog/core/estimate.hpp"

namespace basefog::report {

/// What the picture needed: "under by 0.8", "well exposed", "over by at least 1.2"; where the
/// verdict is uncertain, both ends: "well exposed to under 1.3".
std::string correction_text(const StopsEstimate& correction);

}  // namespace basefog::report
