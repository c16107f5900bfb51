// SPDX-License-Identifier: GPL-3.0-or-later
// The program on a terminal, which script(1) provides.
#include <gmock/gmock.h>
#include <gtest/gtest.h>

#include <cstdio>
#include <regex>
#include <sstream>

#include "cli/program_run.hpp"
#include "report/markup.hpp"

namespace basefog {
namespace {

using ::testing::HasSubstr;
using ::testing::Not;

const std::string kRoll =
    BASEFOG_SAMPLES "/roll/roll03_03.tif " BASEFOG_SAMPLES "/roll/roll03_05.tif " BASEFOG_SAMPLES
                    "/roll/roll03_07.tif";

/// All that a terminal of that width gets to show.
std::string on_terminal(int columns, const std::string& words, const std::string& before = "") {
  const std::string command = before + " script -qec \"stty cols " + std::to_string(columns) +
                              "; " BASEFOG_PROGRAM " " + words + "\" /dev/null";
  FILE* pipe = popen(command.c_str(), "r");
  std::string text;
  char buffer[4096];
  while (std::size_t count = fread(buffer, 1, sizeof buffer, pipe)) text.append(buffer, count);
  pclose(pipe);
  return text;
}

/// Lines as they are seen: what was overwritten and the colours are left out.
std::vector<std::string> seen(const std::string& shown) {
  std::vector<std::string> lines;
  std::istringstream in(std::regex_replace(shown, std::regex("\x1b\\[[0-9;]*[mK]"), ""));
  for (std::string line; std::getline(in, line);) {
    while (line.ends_with('\r')) line.pop_back();
    lines.push_back(line.substr(line.rfind('\r') + 1));
  }
  return lines;
}

TEST(Terminal, shows_progress_in_one_line_and_colours) {
  const std::string shown = on_terminal(100, "review " + kRoll);
  EXPECT_THAT(shown, HasSubstr("\r\x1b[Kread 1 of 3"));
  EXPECT_THAT(shown, HasSubstr("\x1b[34m")) << "under";
  for (const std::string& line : seen(shown)) EXPECT_THAT(line, Not(HasSubstr("read 1 of 3")));
}

TEST(Terminal, of_any_width_is_kept_to) {
  for (int columns : {40, 70, 100}) {
    for (const std::string& line : seen(on_terminal(columns, "review " + kRoll))) {
      EXPECT_LE(report::display_width(line), columns) << line;
    }
  }
}

TEST(Terminal, of_any_width_shows_a_log_within_it) {
  const std::string log = "log " BASEFOG_SAMPLES "/roll/log.csv";
  for (int columns : {40, 70, 100}) {
    const std::vector<std::string> lines = seen(on_terminal(columns, log));
    EXPECT_GT(lines.size(), 10U);
    for (const std::string& line : lines) {
      EXPECT_LE(report::display_width(line), columns) << line;
    }
  }
}

TEST(Terminal, has_no_colour_where_it_is_not_wanted) {
  for (const char* wish : {"NO_COLOR=1", "CLICOLOR=0", "NO_COLOR=1 CLICOLOR_FORCE=1"}) {
    EXPECT_THAT(on_terminal(100, "review " + kRoll, wish), Not(HasSubstr("\x1b[34m"))) << wish;
  }
  EXPECT_THAT(on_terminal(100, "review --color never " + kRoll), Not(HasSubstr("\x1b[34m")));
  const std::string dumb = on_terminal(100, "review " + kRoll, "TERM=dumb");
  EXPECT_THAT(dumb, Not(HasSubstr("\x1b["))) << "no line is rewritten either";
}

TEST(Terminal, has_colour_elsewhere_where_it_is_wanted) {
  const std::vector<std::string> words = {"equivalents", "1/125", "f/8"};
  std::vector<std::string> always = words;
  always.insert(always.end(), {"--color", "always"});
  EXPECT_THAT(run_program(words).out, Not(HasSubstr("\x1b[")));
  EXPECT_THAT(run_program(always, {"env", "NO_COLOR=1"}).out, HasSubstr("\x1b[1m"));
  EXPECT_THAT(run_program(words, {"env", "CLICOLOR_FORCE=1"}).out, HasSubstr("\x1b[1m"));
}

}  // namespace
}  // namespace basefog
