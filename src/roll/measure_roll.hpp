// SPDX-License-Identifier: GPL-3.0-or-later
#pragma once

#include <filesystem>
#include <vector>

#include "basefog/density/scan_record.hpp"
#include "basefog/roll/analysis.hpp"

namespace basefog::roll {

/// Reads and measures scans, several at a time; the records are in the order of `files`.
std::vector<density::ScanRecord> measure_scans(const std::vector<std::filesystem::path>& files,
                                               const ReviewOptions& options);

/// The frames of a roll's scans in order. A scan that could not be read gives one frame of state
/// unreadable and a warning.
std::vector<FrameResult> frames_of(std::vector<density::ScanRecord> records,
                                   std::vector<Warning>& warnings);

}  // namespace basefog::roll
