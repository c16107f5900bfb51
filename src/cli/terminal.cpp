// SPDX-License-Identifier: GPL-3.0-or-later
#include "cli/terminal.hpp"

#include <sys/ioctl.h>
#include <unistd.h>

#include <cstdlib>

namespace basefog::cli {

TerminalStyle terminal_style() {
  const bool terminal = ::isatty(STDOUT_FILENO) != 0;
  const char* no_colour = std::getenv("NO_COLOR");
  TerminalStyle style{.colour = terminal && (no_colour == nullptr || *no_colour == '\0')};
  winsize size{};
  if (terminal && ::ioctl(STDOUT_FILENO, TIOCGWINSZ, &size) == 0 && size.ws_col > 0) {
    style.columns = size.ws_col;
  }
  return style;
}

}  // namespace basefog::cli
