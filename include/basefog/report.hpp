// SPDX-License-Identifier: GPL-3.0-or-later
#pragma once

#include <ostream>

#include "basefog/analysis.hpp"

namespace basefog {

struct TerminalStyle {
  bool colour = false;
  int columns = 100;  ///< width of the terminal
};

/// Pure functions from the Analysis; none reads a file or the clock.
void write_table(std::ostream& out, const Analysis& analysis, const TerminalStyle& style = {});
void write_json(std::ostream& out, const Analysis& analysis);
void write_csv(std::ostream& out, const Analysis& analysis);
void write_html(std::ostream& out, const Analysis& analysis);

}  // namespace basefog
