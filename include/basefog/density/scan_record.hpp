// SPDX-License-Identifier: GPL-3.0-or-later
#pragma once

#include <filesystem>
#include <memory>
#include <optional>
#include <string>
#include <vector>

#include "basefog/area/layout_hint.hpp"
#include "basefog/core/quality.hpp"
#include "basefog/density/density.hpp"
#include "basefog/density/file_sum.hpp"

namespace basefog::density {

class ScanStore;

/// Why a scan could not be read, in the words of the place that refused it.
struct ScanFailure {
  std::filesystem::path file;         ///< the scan
  Flag flag = Flag::unreadable_file;  ///< what is to be said of it
  std::string text;                   ///< follows the file's name
  std::string next_step;              ///< what to do about it
  friend bool operator==(const ScanFailure&, const ScanFailure&) = default;
};

/// What a scan is and how its film lies, as `basefog read` shows it. Of the scan there are size,
/// form and channels, of the layout all but the kind of each block and the uneven light.
struct ScanFinding {
  scan::Scan scan;          ///< without its blocks
  area::FilmLayout layout;  ///< where frames lie
};

/// All that a review needs of one scan: its frames as measured, or why there are none. A pure
/// function of the file and the options, so that an archive can be read on many machines and
/// reviewed on one.
struct ScanRecord {
  std::filesystem::path file;            ///< the scan
  std::vector<FrameMeasurement> frames;  ///< in film order; empty with a failure
  std::optional<ScanFailure> failure;    ///< absent where the scan was read
  std::optional<ScanFinding> finding;    ///< absent from a record that was read from a file
  std::optional<FileSum> sum;            ///< of the scan
};

/// What one scan's record depends on beside its file.
struct MeasureOptions {
  scan::ReadOptions read;           ///< how codes become light
  area::LayoutHint layout;          ///< how film lies on the scan, where a person says so
  int picture_side = kPictureSide;  ///< long side of the pictures kept for proofs, pixels
  /// Where measured scans are kept, and taken from in place of reading them again; none: nowhere.
  std::shared_ptr<ScanStore> store;
};

/// Measures the frames of a scan that was read.
ScanRecord record_of(const scan::Scan& scan, const area::FilmLayout& layout, int picture_side);

/// Reads and measures one scan, unless the store has it. Never throws over a bad file: what is
/// wrong with it becomes the record's failure, which no store keeps.
ScanRecord measure_scan(const std::filesystem::path& file, const MeasureOptions& options = {});

/// The record as JSON, schema basefog.scan/1; numbers as they are, to the last bit. Of the
/// response its curves are left out, which only a base stated in codes would need (it is refused).
std::string scan_record_text(const ScanRecord& record);

/// Throws InputError: not_found, unreadable, malformed (no record, or one of another version).
ScanRecord read_scan_record(const std::filesystem::path& path);

/// Records from files and folders (*.json), in the order of their scans' paths as a person counts;
/// a record named twice is read once. Throws InputError as read_scan_record, and no_scans where
/// there are none.
std::vector<ScanRecord> read_scan_records(const std::vector<std::filesystem::path>& inputs);

}  // namespace basefog::density
