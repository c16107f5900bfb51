// SPDX-License-Identifier: GPL-3.0-or-later
#pragma once

#include "basefog/scan/scan.hpp"
#include "scan/read_file.hpp"

namespace basefog::scan {

/// Divides a scan, block by block, by the shot of the bare light source in options.light, read in
/// the scan's own orientation. Light then is transmittance; light_known says whether absolutely so.
/// Where the light source itself is dark nothing is known: blocks become 0 and floored.
/// Flags light_clipped, light_exposure_differs. The shot is kept for the next scan of the roll.
/// Throws InputError (usage) where it does not fit the scan, and whatever read_scan throws for it.
void divide_by_light(FileRead& file, const ReadOptions& options);

/// The same of a part of such a scan in finer blocks, by the shot as it was read for whole scans:
/// means only, and light below a fiftieth of full scale taken for that. left, top: of the part,
/// pixels of the upright scan.
void divide_window_by_light(decode::BlockImage& window, int left, int top, int orientation,
                            const ReadOptions& options);

}  // namespace basefog::scan
