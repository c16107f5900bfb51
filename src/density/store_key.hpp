// SPDX-License-Identifier: GPL-3.0-or-later
#pragma once

#include <filesystem>
#include <optional>
#include <string>

#include "basefog/density/scan_record.hpp"

namespace basefog::density {

/// All that a scan's record depends on, as text: the file's name and content, the options with the
/// content of the files that they name, and the program. Absent where that cannot be known: a file
/// that is missing, no plain file, or still being written.
std::optional<std::string> store_key(const std::filesystem::path& file,
                                     const MeasureOptions& options);

}  // namespace basefog::density
