// SPDX-License-Identifier: GPL-3.0-or-later
#pragma once

#include <filesystem>
#include <string>

#include "basefog/report/report.hpp"

namespace CLI {
class App;
class Option;
}  // namespace CLI

namespace basefog::cli {

/// The words of --color: `automatic` means where a person looks at it.
enum class Colour { automatic, always, never };

/// What standard output can show: its width, and whether colour. By itself colour stands only on a
/// terminal that is not "dumb", unless NO_COLOR [NoColor] or CLICOLOR=0 says no or CLICOLOR_FORCE
/// yes [CLIColors], in this order; --color is over all of them.
report::TerminalStyle terminal_style(Colour colour = Colour::automatic);

/// Adds --color to a command whose table has colours; `colour` must live as long as the command.
CLI::Option* add_colour_option(CLI::App& command, Colour& colour);

/// True where the terminal knows how to clear a line and to show colours.
bool understands_escapes();

/// Width of the terminal that a file descriptor leads to, 80 where it does not say; 0 where it
/// leads to none.
int terminal_columns(int descriptor);

/// A message on standard error, on one line and harmless to the terminal whatever names are in it.
void say(const std::string& message);

/// Opens a file with what the desktop opens its kind with (xdg-open); says so where that fails.
void show_file(const std::filesystem::path& file);

/// Throws InputError (not_writable) where standard output did not take all that was written.
void check_stdout();

}  // namespace basefog::cli
