// SPDX-License-Identifier: GPL-3.0-or-later
#pragma once

#include <cstddef>
#include <filesystem>
#include <functional>
#include <span>

#include "basefog/scan/scan.hpp"

namespace basefog::scan {

/// A part of an upright scan, pixels from its upper left corner.
struct ScanWindow {
  double left = 0;
  double top = 0;
  double right = 0;
  double bottom = 0;
};

/// A window as read: whole blocks, which reach a little farther than was asked for.
struct WindowRead {
  int left = 0;  ///< of its first block, pixels
  int top = 0;
  decode::BlockImage blocks;  ///< means alone are light divided by the lamp's
};

using TakeWindow = std::function<void(std::size_t window, const WindowRead& read)>;

/// Reads parts of a scan in blocks of block_side pixels, 1 or more, in one pass over the file; each
/// is handed over when its last row is there, so that memory grows with the windows that a row of
/// the scan crosses and not with the scan. Windows are cut at the scan's edges; one that the file
/// ends within, or that lies outside, is never handed over. Options as for read_scan, of which
/// most_blocks is the shot of the light's. Throws InputError as read_scan.
void read_windows(const std::filesystem::path& path, const ReadOptions& options, int block_side,
                  std::span<const ScanWindow> windows, const TakeWindow& take);

}  // namespace basefog::scan
