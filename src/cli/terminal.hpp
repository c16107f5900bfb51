// SPDX-License-Identifier: GPL-3.0-or-later
#pragma once

#include "basefog/report.hpp"

namespace basefog::cli {

/// What standard output can show: its width, and colour only where a person looks at it and has not
/// asked for none [NoColor].
TerminalStyle terminal_style();

/// Width of the terminal that a file descriptor leads to, 80 where it does not say; 0 where it
/// leads to none.
int terminal_columns(int descriptor);

}  // namespace basefog::cli
