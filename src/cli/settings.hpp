// SPDX-License-Identifier: GPL-3.0-or-later
#pragma once

#include <filesystem>
#include <map>
#include <optional>
#include <string>
#include <vector>

#include "cli/review_command.hpp"

namespace CLI {
class App;
}

namespace basefog::cli {

/// One of kSettingsKeys as a file has it; the name of a file is whole.
struct Setting {
  std::string value;
  std::filesystem::path from;
  std::string section;  ///< of the scanner; empty outside
};

/// What holds where no option says otherwise, by key.
using Settings = std::map<std::string, Setting>;

/// $XDG_CONFIG_HOME/basefog/config.toml, or in ~/.config [XDG]; empty without HOME.
std::filesystem::path configuration_file();

/// $XDG_CACHE_HOME/basefog, or in ~/.cache [XDG]; empty without HOME.
std::filesystem::path cache_folder();

/// The roll's own file beside its log (log.csv: log.toml), before the section of the scanner that
/// the first of the scans names, before the configuration file. Files that are not there say
/// nothing. Throws InputError (unreadable, malformed) for those that cannot be understood.
Settings settings_for(const std::optional<std::filesystem::path>& log,
                      const std::vector<std::filesystem::path>& scans);

/// Fills in what no option said of how a roll is read.
void take_settings(RollArguments& arguments, const Settings& settings);
/// The same of the ledger and of where and how results go.
void take_settings(ReviewArguments& arguments, const Settings& settings);
/// The same of a single file, by its key.
void take_setting(std::optional<std::filesystem::path>& argument, const char* key,
                  const Settings& settings);

/// `basefog settings [SCANS...]`: prints what holds and where it comes from.
void add_settings_command(CLI::App& app, int& status);

}  // namespace basefog::cli
