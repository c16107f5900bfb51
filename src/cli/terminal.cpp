// SPDX-License-Identifier: GPL-3.0-or-later
#include "cli/terminal.hpp"

#include <sys/ioctl.h>
#include <unistd.h>

#include <cstdio>
#include <cstdlib>
#include <iostream>

#include "basefog/core/error.hpp"
#include "report/markup.hpp"

namespace basefog::cli {

int terminal_columns(int descriptor) {
  constexpr int kUsual = 80;
  if (::isatty(descriptor) == 0) return 0;
  winsize size{};
  return ::ioctl(descriptor, TIOCGWINSZ, &size) == 0 && size.ws_col > 0 ? size.ws_col : kUsual;
}

void say(const std::string& message) {
  std::fprintf(stderr, "basefog: %s\n", report::printable(message).c_str());
}

void check_stdout() {
  std::cout.flush();
  if (std::fflush(stdout) == 0 && std::ferror(stdout) == 0 && std::cout) return;
  throw InputError(ErrorCode::not_writable, "-", "standard output could not be written",
                   "check the disk or the program that reads it");
}

report::TerminalStyle terminal_style() {
  const int columns = terminal_columns(STDOUT_FILENO);
  const char* no_colour = std::getenv("NO_COLOR");
  report::TerminalStyle style{.colour =
                                  columns > 0 && (no_colour == nullptr || *no_colour == '\0')};
  if (columns > 0) style.columns = columns;
  return style;
}

}  // namespace basefog::cli
