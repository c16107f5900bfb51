// SPDX-License-Identifier: GPL-3.0-or-later
// What the columns of a log hold where no line names them.
#pragma once

#include <optional>
#include <vector>

#include "log/header.hpp"

namespace basefog::log {

/// Columns by their values, where these leave no doubt: shutter and aperture each in one column, or
/// both in one; frame numbers that rise, exposure indices, compensations with signs and dates where
/// they are found; words are scenes, then notes. Nothing for fewer than three rows of one length,
/// or where two columns may be the shutter or the aperture.
std::optional<std::vector<Column>> columns_by_values(const std::vector<LogLine>& lines);

}  // namespace basefog::log
