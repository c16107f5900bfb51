// SPDX-License-Identifier: GPL-3.0-or-later
#pragma once

#include <filesystem>
#include <memory>
#include <string>

#include "basefog/apart/processes.hpp"
#include "basefog/scan/scan.hpp"

namespace basefog::density {

/// Processes for ReadOptions::apart, each of which reads one file, and can open no other, until it
/// is measured: what comes back are numbers, and they are checked. For a program to start before
/// its first thread; none where the system does not allow them. A file that ends its process costs
/// itself alone.
std::shared_ptr<const apart::Processes> start_reading_apart();

/// scan::read_scan, in ReadOptions::apart where there are such processes. Throws as it does, and
/// InputError (unreadable) for a file that ended its process.
scan::Scan read_scan(const std::filesystem::path& path, const scan::ReadOptions& options);

/// Make and model of the scanner that made a file, as it names them; empty where it names none, is
/// no scan, or ended its process. processes may be none.
std::string scanner_name(const std::filesystem::path& file,
                         const std::shared_ptr<const apart::Processes>& processes);

}  // namespace basefog::density
