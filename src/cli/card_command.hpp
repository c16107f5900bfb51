// SPDX-License-Identifier: GPL-3.0-or-later
#pragma once

#include <filesystem>

#include "cli/roll_options.hpp"

namespace basefog::cli {

/// The words of `basefog card`, as given.
struct CardArguments {
  RollArguments roll;
  std::filesystem::path out;  ///< .svg or .pdf
};

/// Reviews the roll and writes its pocket card. Returns an ExitStatus; throws InputError.
int run_card(const CardArguments& arguments);

/// `basefog card SCANS...`
void add_card_command(CLI::App& app, int& status);

}  // namespace basefog::cli
