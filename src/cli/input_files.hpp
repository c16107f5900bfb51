// SPDX-License-Identifier: GPL-3.0-or-later
#pragma once

#include <filesystem>
#include <memory>
#include <vector>

#include "basefog/apart/processes.hpp"

namespace basefog::cli {

/// Whether a file is a table by its ending, .csv, .tsv or .txt in letters of any case.
bool is_table_file(const std::filesystem::path& file);

/// Refuses scans and folders that do not exist, before any is read: a name with a slip is an error
/// of the command and no frame of the roll. Throws InputError (not_found).
void check_inputs_exist(const std::vector<std::filesystem::path>& inputs);

/// The processes that read scans for this program; none where the system does not allow them. They
/// are started by the first call, which has to come before the first thread.
std::shared_ptr<const apart::Processes> readers_of_scans();

}  // namespace basefog::cli
