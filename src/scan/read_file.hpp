// SPDX-License-Identifier: GPL-3.0-or-later
#pragma once

#include <filesystem>
#include <memory>
#include <optional>

#include "basefog/scan/scan.hpp"
#include "decode/decoder.hpp"
#include "scan/scan_metadata.hpp"

namespace basefog::scan {

/// A file whose rows can be decoded, and how.
struct OpenFile {
  std::unique_ptr<decode::Decoder> decoder;
  decode::Picture picture;  ///< with the orientation to apply
  FileMetadata metadata;
  response::Response response;
  FlagSet flags;
};

/// orientation as for read_file. Throws as read_scan.
OpenFile open_file(const std::filesystem::path& path, const ReadOptions& options,
                   std::optional<int> orientation = std::nullopt);

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
