// SPDX-License-Identifier: GPL-3.0-or-later
#pragma once

#include <atomic>
#include <cstdint>
#include <filesystem>
#include <optional>
#include <string>

#include "basefog/density/scan_record.hpp"

namespace basefog::density {

/// Bytes that a store holds, as manual/topics/cache.7.txt says: some seven rolls of 36 colour
/// frames with their pages' pictures, twenty in black-and-white (judgement).
inline constexpr std::uint64_t kMostStoredBytes = std::uint64_t{1} << 31;

/// Measured scans, kept in a folder for the next run. Several threads and programs may use one
/// folder at the same time: an entry is there whole or not at all. Nothing here throws: what cannot
/// be read or written is as if it were not there, and after a write that failed none is tried
/// again.
class ScanStore {
 public:
  /// The folder is made when something is kept first.
  explicit ScanStore(std::filesystem::path folder, std::uint64_t most_bytes = kMostStoredBytes);

  /// What was kept under this key, without its file's name; absent too where the entry is damaged.
  std::optional<ScanRecord> find(const std::string& key) const noexcept;

  /// Keeps a record that has no failure. What was used longest ago goes first. An entry larger than
  /// a sixteenth of the store, or one that would leave the disk less room than the whole store
  /// takes, is not kept.
  void keep(const std::string& key, const ScanRecord& record) noexcept;

 private:
  std::filesystem::path file_of(const std::string& key) const;
  bool has_room_for(std::uint64_t bytes) const;
  void make_room() const;

  std::filesystem::path folder_;
  std::uint64_t most_bytes_;
  std::atomic<bool> closed_ = false;          ///< a write failed
  std::atomic<std::uint64_t> unchecked_ = 0;  ///< bytes written since the folder was looked through
  std::atomic<bool> looked_through_ = false;
};

}  // namespace basefog::density
