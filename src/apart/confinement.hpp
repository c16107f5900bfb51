// SPDX-License-Identifier: GPL-3.0-or-later
#pragma once

#include <filesystem>
#include <span>

#include "basefog/apart/processes.hpp"

namespace basefog::apart {

/// Gives up all that reading `files` and answering on open descriptors does not need, for good.
/// What the system does not allow to give up is kept; the answer says what.
Confinement confine(std::span<const std::filesystem::path> files, const Limits& limits);

}  // namespace basefog::apart
