// SPDX-License-Identifier: GPL-3.0-or-later
#pragma once

#include <filesystem>
#include <vector>

#include "basefog/analysis.hpp"

namespace basefog {

/// Reads and measures scans, several at a time, and gives their frames in the order of `files`.
/// A file that cannot be read gives one frame of state unreadable and a warning; it never stops
/// the others.
std::vector<FrameResult> measure_roll(const std::vector<std::filesystem::path>& files,
                                      const ReviewOptions& options, std::vector<Warning>& warnings);

}  // namespace basefog
