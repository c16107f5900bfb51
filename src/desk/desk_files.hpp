// SPDX-License-Identifier: GPL-3.0-or-later
// What stands in a desk's folder for `basefog review` to take up, and the review of it.
#pragma once

#include <filesystem>
#include <map>
#include <memory>
#include <vector>

#include "basefog/density/scan_record.hpp"
#include "desk/roll_desk.hpp"

namespace basefog::desk {

inline constexpr const char* kLogFile = "log.csv";
inline constexpr const char* kMatchFile = "match.csv";
inline constexpr const char* kSettingsFile = "log.toml";

/// The settings of the roll's own, where there are any. Throws InputError (not_writable).
void write_settings(const std::filesystem::path& folder, const Sheet& sheet);

/// Writes log, pairs and settings into the desk's folder and reviews the records with them, as
/// `basefog review SCANS --log log.csv --match match.csv` does with the scans. ids: of the scans,
/// by which the page calls them. Throws InputError.
std::shared_ptr<Reviewed> review_state(const RollPlace& place, const State& state,
                                       std::vector<density::ScanRecord> records,
                                       const std::map<std::filesystem::path, int>& ids);

}  // namespace basefog::desk
