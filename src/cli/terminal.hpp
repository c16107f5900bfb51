// SPDX-License-Identifier: GPL-3.0-or-later
#pragma once

#include <string>

#include "basefog/report/report.hpp"

namespace basefog::cli {

/// What standard output can show: its width, and colour only where a person looks at it and has not
/// asked for none [NoColor].
report::TerminalStyle terminal_style();

/// Width of the terminal that a file descriptor leads to, 80 where it does not say; 0 where it
/// leads to none.
int terminal_columns(int descriptor);

/// A message on standard error, on one line and harmless to the terminal whatever names are in it.
void say(const std::string& message);

/// Throws InputError (not_writable) where standard output did not take all that was written.
void check_stdout();

}  // namespace basefog::cli
