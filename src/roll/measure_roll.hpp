// SPDX-License-Identifier: GPL-3.0-or-later
#pragma once

#include <filesystem>
#include <optional>
#include <vector>

#include "basefog/density/scan_record.hpp"
#include "basefog/roll/analysis.hpp"

namespace basefog::roll {

/// The scans of a roll as measured.
struct MeasuredScans {
  /// In the order of the scans; a scan that could not be read has one of state unreadable.
  std::vector<density::FrameMeasurement> frames;
  std::vector<InputFile> files;   ///< the scans as such
  std::vector<Warning> failures;  ///< why scans could not be read, and which are copies
  /// As in response_evidence.hpp; of scans that are read again since it is high, from before.
  std::optional<double> tone_curve;
};

/// Reads and measures scans, several at a time, in the order of `files`. Where nothing states how
/// codes stand for light, and the roll shows that it is more probably through a tone curve, they
/// are read again so. Never throws for the sake of one scan.
MeasuredScans measure_scans(const std::vector<std::filesystem::path>& files,
                            const ReviewOptions& options);

/// The same from scans that were measured before.
MeasuredScans measured_before(std::vector<density::ScanRecord> records);

}  // namespace basefog::roll
