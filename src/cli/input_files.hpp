// SPDX-License-Identifier: GPL-3.0-or-later
#pragma once

#include <filesystem>

namespace basefog::cli {

/// Whether a file is a table by its ending, .csv, .tsv or .txt in letters of any case.
bool is_table_file(const std::filesystem::path& file);

}  // namespace basefog::cli
