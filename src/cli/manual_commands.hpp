// SPDX-License-Identifier: GPL-3.0-or-later
#pragma once

namespace CLI {
class App;
}

namespace basefog::cli {

/// `basefog manual TOPIC`: prints the manual.
void add_manual_command(CLI::App& app, int& status);

/// `basefog completion SHELL`: prints a script that completes commands and options.
void add_completion_command(CLI::App& app, int& status);

}  // namespace basefog::cli
