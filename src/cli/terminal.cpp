// SPDX-License-Identifier: GPL-3.0-or-later
#include "cli/terminal.hpp"

#include <spawn.h>
#include <sys/ioctl.h>
#include <sys/wait.h>
#include <unistd.h>

#include <CLI/CLI.hpp>
#include <cstdio>
#include <cstdlib>
#include <iostream>
#include <map>
#include <string_view>

#include "basefog/core/error.hpp"
#include "report/markup.hpp"

namespace basefog::cli {
namespace {

std::string_view environment(const char* name) {
  const char* value = std::getenv(name);
  return value != nullptr ? value : "";
}

bool shows_colour(bool on_terminal) {
  if (!environment("NO_COLOR").empty() || environment("CLICOLOR") == "0") return false;
  const std::string_view force = environment("CLICOLOR_FORCE");
  if (!force.empty() && force != "0") return true;
  return on_terminal && understands_escapes();
}

}  // namespace

int terminal_columns(int descriptor) {
  constexpr int kUsual = 80;
  if (::isatty(descriptor) == 0) return 0;
  winsize size{};
  return ::ioctl(descriptor, TIOCGWINSZ, &size) == 0 && size.ws_col > 0 ? size.ws_col : kUsual;
}

void say(const std::string& message) {
  std::fprintf(stderr, "basefog: %s\n", report::printable(message).c_str());
}

void show_file(const std::filesystem::path& file) {
  std::string opener = "xdg-open";
  std::string name = std::filesystem::absolute(file).string();
  char* const words[] = {opener.data(), name.data(), nullptr};
  pid_t opened = 0;
  int state = 1;
  const bool runs =
      ::posix_spawnp(&opened, opener.c_str(), nullptr, nullptr, words, environ) == 0 &&
      ::waitpid(opened, &state, 0) == opened;
  if (!runs || state != 0) say(name + ": could not be opened with xdg-open; open it by hand.");
}

void check_stdout() {
  std::cout.flush();
  if (std::fflush(stdout) == 0 && std::ferror(stdout) == 0 && std::cout) return;
  throw InputError(ErrorCode::not_writable, "-", "standard output could not be written",
                   "check the disk or the program that reads it");
}

bool understands_escapes() { return environment("TERM") != "dumb"; }

report::TerminalStyle terminal_style(Colour colour) {
  const int columns = terminal_columns(STDOUT_FILENO);
  report::TerminalStyle style{.colour = colour == Colour::always ||
                                        (colour == Colour::automatic && shows_colour(columns > 0))};
  if (columns > 0) style.columns = columns;
  return style;
}

CLI::Option* add_colour_option(CLI::App& command, Colour& colour) {
  static const std::map<std::string, Colour> kColours = {
      {"auto", Colour::automatic}, {"always", Colour::always}, {"never", Colour::never}};
  return command.add_option("--color", colour, "Whether tables have colours")
      ->transform(CLI::CheckedTransformer(kColours))
      ->type_name("auto|always|never")
      ->default_str("auto");
}

}  // namespace basefog::cli
