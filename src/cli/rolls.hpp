// SPDX-License-Identifier: GPL-3.0-or-later
#pragma once

#include <filesystem>
#include <optional>
#include <vector>

#include "cli/review_command.hpp"

namespace basefog::cli {

/// The folders of a folder of rolls: those below the inputs that hold scans, where the inputs are
/// folders that hold none themselves; in counting order. Empty where the inputs are one roll.
std::vector<std::filesystem::path> roll_folders(const std::vector<std::filesystem::path>& inputs);

/// The log that lies with a roll's scans: "log" with a table's ending, else the only table there
/// (.csv, .tsv, .txt). Absent where there is none, or more than one may be it.
std::optional<std::filesystem::path> log_in(const std::filesystem::path& folder);

/// Reviews each folder as a roll of its own and writes a report for each, an index page and a
/// table. A roll that cannot be reviewed never sinks the others. Returns an ExitStatus; throws
/// InputError.
int run_rolls(const ReviewArguments& arguments, const std::vector<std::filesystem::path>& folders);

}  // namespace basefog::cli
