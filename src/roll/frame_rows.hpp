// SPDX-License-Identifier: GPL-3.0-or-later
// Which row of the log each frame of a roll belongs to.
#pragma once

#include <filesystem>
#include <map>
#include <optional>
#include <vector>

#include "basefog/roll/analysis.hpp"

namespace basefog::roll {

/// A log made of the settings that the scans themselves carry; nothing where none carries any.
std::optional<log::ShotLog> log_from_scans(const std::vector<FrameResult>& frames);

/// Rows fixed by the user, by frame; an empty row says that the frame has none.
using FixedRows = std::map<std::size_t, std::optional<std::size_t>>;

/// Finds the frames and rows that a match file names. Throws InputError with the line in question.
FixedRows fix_rows(const Analysis& analysis, const std::vector<matching::FixedPair>& pairs,
                   const std::filesystem::path& match_file);

/// Gives each frame its row of analysis.log, and notes the pairing in analysis.matching. A frame
/// that no row belongs to gets one from the settings in its own scan, if there are any.
void match_with_log(Analysis& analysis, const FixedRows& fixed);

}  // namespace basefog::roll
