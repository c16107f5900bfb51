// SPDX-License-Identifier: GPL-3.0-or-later
#pragma once

#include <filesystem>
#include <optional>

#include "basefog/scan/scan.hpp"

namespace basefog::scan {

/// One file as read, before any light is divided out.
struct FileRead {
  Scan scan;
  int orientation = 1;                  ///< that was applied
  std::optional<double> copy_exposure;  ///< see FileMetadata
};

/// read_scan without ReadOptions::light. orientation, where given, replaces the file's own: a
/// camera that points straight down writes an arbitrary one. Throws as read_scan.
FileRead read_file(const std::filesystem::path& path, const ReadOptions& options,
                   std::optional<int> orientation = std::nullopt);

}  // namespace basefog::scan
