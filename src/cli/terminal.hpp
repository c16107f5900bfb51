// SPDX-License-Identifier: GPL-3.0-or-later
#pragma once

#include "basefog/report.hpp"

namespace basefog::cli {

/// What standard output can show: its width, and colour only where a person looks at it and has not
/// asked for none [NoColor].
TerminalStyle terminal_style();

}  // namespace basefog::cli
