// SPDX-License-Identifier: GPL-3.0-or-later
#include "cli/terminal.hpp"

#include <sys/ioctl.h>
#include <unistd.h>

#include <cstdlib>

namespace basefog::cli {

int terminal_columns(int descriptor) {
  constexpr int kUsual = 80;
  if (::isatty(descriptor) == 0) return 0;
  winsize size{};
  return ::ioctl(descriptor, TIOCGWINSZ, &size) == 0 && size.ws_col > 0 ? size.ws_col : kUsual;
}

TerminalStyle terminal_style() {
  const int columns = terminal_columns(STDOUT_FILENO);
  const char* no_colour = std::getenv("NO_COLOR");
  TerminalStyle style{.colour = columns > 0 && (no_colour == nullptr || *no_colour == '\0')};
  if (columns > 0) style.columns = columns;
  return style;
}

}  // namespace basefog::cli
