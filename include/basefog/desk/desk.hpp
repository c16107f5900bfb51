// SPDX-License-Identifier: GPL-3.0-or-later
#pragma once

#include <filesystem>
#include <functional>
#include <map>
#include <optional>
#include <string>
#include <vector>

#include "basefog/roll/analysis.hpp"

namespace basefog::desk {

/// Where a roll lies and how it is to be read.
struct RollPlace {
  std::filesystem::path scans;   ///< the folder that scans are written into; never written to
  std::filesystem::path folder;  ///< the desk's own, made if need be
  /// A log that lies with the scans, for the first time that the desk is opened.
  std::optional<std::filesystem::path> log;
  /// Settings that lie with that log, by key; names of files whole.
  std::map<std::string, std::string> settings;
  /// What is in force for a roll whose log is that file: options, configuration, the log's own.
  std::function<roll::ReviewOptions(const std::filesystem::path& log)> options;
};

/// What a desk serves, and where.
struct DeskOptions {
  std::vector<RollPlace> rolls;  ///< one or more; each has its own desk's folder
  int port = 0;                  ///< 0: any that is free
  /// Called once with the address, when the desk can be reached at it.
  std::function<void(const std::string& address)> opened;
};

/// Serves the rolls on this machine's loopback, for those who have the address with its key, until
/// the process gets SIGINT or SIGTERM. Throws InputError (usage) where the port is taken, and
/// (not_writable) where a desk's folder is, or is worked in already, and (malformed) where what
/// lies there is no desk's.
void serve(const DeskOptions& options);

}  // namespace basefog::desk
