// SPDX-License-Identifier: GPL-3.0-or-later
#pragma once

#include <filesystem>
#include <optional>
#include <string>
#include <vector>

namespace CLI {
class App;
}

namespace basefog::cli {

/// The words of `basefog read`, as given.
struct ReadArguments {
  std::vector<std::filesystem::path> scans;
  std::string response;  ///< linear, srgb, gamma=N or a response file; empty: from the files
  std::optional<std::filesystem::path> light;
  std::string layout;  ///< as parse_layout takes it; empty: found
  /// A .png for one scan, a folder for several.
  std::optional<std::filesystem::path> show_layout;
  std::optional<std::filesystem::path> json;
  std::optional<std::filesystem::path> record;  ///< a folder for a record of each scan
  bool no_cache = false;
};

/// Prints what each scan shows of film, and draws it. Returns an ExitStatus; throws InputError.
int run_read(const ReadArguments& arguments);

/// `basefog read SCANS...`
void add_read_command(CLI::App& app, int& status);

}  // namespace basefog::cli
