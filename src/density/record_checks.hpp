// SPDX-License-Identifier: GPL-3.0-or-later
// A record comes from elsewhere: what it says of its sizes must be so before anything relies on it,
// and its numbers must be such as are measured.
#pragma once

#include "basefog/density/scan_record.hpp"

namespace basefog::density {

/// Whether all grids, pictures and channels have the sizes that the record claims.
bool is_whole(const ScanRecord& record);

/// False for sizes, spreads and settings that nothing could have measured.
bool is_plausible(const ScanRecord& record);

}  // namespace basefog::density
