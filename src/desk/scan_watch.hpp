// SPDX-License-Identifier: GPL-3.0-or-later
#pragma once

#include <chrono>
#include <cstdint>
#include <filesystem>
#include <map>
#include <vector>

namespace basefog::desk {

/// Whether some program has the file open for writing, as far as the system says: where it does
/// not, false.
bool is_being_written(const std::filesystem::path& file);

/// A folder that scans are written into. It is looked at again and again, which works on every file
/// system, network shares too.
class ScanWatch {
 public:
  using Clock = std::chrono::steady_clock;

  explicit ScanWatch(std::filesystem::path folder) : folder_(std::move(folder)) {}

  /// A scan that is as it was at the last look and that nobody writes on.
  struct Settled {
    std::filesystem::path file;
    std::uint64_t print = 0;  ///< changes when the file does
  };
  struct Look {
    std::vector<std::filesystem::path> all;  ///< in the order of the film, as review takes them
    std::vector<Settled> settled;
  };
  /// What is there now. A file counts as whole once neither its size nor its time has changed for
  /// kStill and no program has it open for writing.
  Look look(Clock::time_point now);

  static constexpr std::chrono::milliseconds kStill{700};

 private:
  struct Seen {
    std::uint64_t print = 0;
    Clock::time_point since;
  };

  std::filesystem::path folder_;
  std::map<std::filesystem::path, Seen> seen_;
};

}  // namespace basefog::desk
