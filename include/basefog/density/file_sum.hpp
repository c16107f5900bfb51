// SPDX-License-Identifier: GPL-3.0-or-later
#pragma once

#include <cstdint>
#include <filesystem>
#include <optional>

namespace basefog::density {

/// What tells a file from others, though not from one that was made to look like it: its size and a
/// CRC-32 [RFC1952], over all of a file up to 1 MiB, else over its first and last 64 KiB and 14
/// places of 4 KiB, the k-th at the k-th fifteenth of its size, one after another. A sum over all
/// of a large scan would take as long as to read it.
struct FileSum {
  std::uint64_t bytes = 0;  ///< size of the file
  std::uint32_t crc32 = 0;  ///< over the whole, or over those parts
  bool whole = true;        ///< which of both
  friend bool operator==(const FileSum&, const FileSum&) = default;
};

/// Absent for what is no plain file or cannot be read.
std::optional<FileSum> sum_of_file(const std::filesystem::path& path);

}  // namespace basefog::density
