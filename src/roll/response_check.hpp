// SPDX-License-Identifier: GPL-3.0-or-later
#pragma once

#include <optional>
#include <span>

#include "roll/roll_doubts.hpp"

namespace basefog::roll {

/// Where nothing states how codes stand for light, and the roll showed it: the frames read so.
std::optional<RollDoubt> response_found(std::span<const ReferencedFrame> frames);

/// Where the densities of the roll's measured frames cannot be right under the response that their
/// scans were read with: all of them.
std::optional<RollDoubt> check_response(std::span<const ReferencedFrame> frames);

}  // namespace basefog::roll
