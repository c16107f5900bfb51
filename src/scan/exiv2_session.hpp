// SPDX-License-Identifier: GPL-3.0-or-later
#pragma once

#include <mutex>

namespace basefog::scan {

/// Exclusive use of exiv2, ready and silent, for as long as the lock is held: its parsers share
/// state.
std::unique_lock<std::mutex> exiv2_session();

}  // namespace basefog::scan
