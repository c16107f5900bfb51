// SPDX-License-Identifier: GPL-3.0-or-later
#pragma once

#include <filesystem>
#include <optional>
#include <string>

#include "cli/roll_options.hpp"

namespace basefog::cli {

/// The words of `basefog card`, as given.
struct CardArguments {
  RollArguments roll;
  std::filesystem::path out;  ///< .svg or .pdf
  /// Instead of scans: a camera in the ledger, and which of its films.
  std::optional<std::string> remembered;
  std::optional<std::string> remembered_film;
};

/// Writes the pocket card of a roll, which is reviewed, or of a camera's remembered rolls. Returns
/// an ExitStatus; throws InputError.
int run_card(const CardArguments& arguments);

/// `basefog card SCANS...`, `basefog card --remembered CAMERA`
void add_card_command(CLI::App& app, int& status);

}  // namespace basefog::cli
