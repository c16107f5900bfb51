// SPDX-License-Identifier: GPL-3.0-or-later
#pragma once

#include <optional>
#include <span>
#include <vector>

#include "roll/log_comparison.hpp"

namespace basefog::roll {

/// For each frame whose picture was under or over, the settings that would have helped, with the
/// film speed dial as it was; empty for the others. One a frame given. meter: whose effects say
/// which speeds are off.
std::vector<log::Replacements> replace_settings(std::span<const LoggedFrame> frames,
                                                const std::optional<meter::MeterBias>& meter,
                                                const std::optional<log::Camera>& camera);

}  // namespace basefog::roll
