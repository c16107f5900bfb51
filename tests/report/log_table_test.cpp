// SPDX-License-Identifier: GPL-3.0-or-later
#include "basefog/report/log_table.hpp"

#include <gmock/gmock.h>
#include <gtest/gtest.h>

#include <sstream>

#include "report/markup.hpp"

namespace basefog::report {
namespace {

using ::testing::HasSubstr;
using ::testing::Not;

std::string table_of(std::string_view text, int columns = 100) {
  std::ostringstream out;
  TerminalStyle style;
  style.columns = columns;
  write_log_table(out, log::parse_shot_log(text, "log.csv"), style);
  return out.str();
}

constexpr std::string_view kLog =
    "film: ISO 400\n"
    "frame,Tv,Av,comp,mode,subject,battery\n"
    "1,60,5.6,+1/3,A,snow,\n"
    "2,8?,f/4-5.6,,M,night street,low\n"
    "3,blank,,,,,\n";

TEST(LogTable, shows_how_each_row_was_understood) {
  const std::string table = table_of(kLog);
  EXPECT_THAT(table, HasSubstr("3 rows in UTF-8; film ISO 400; film speed ISO 400."));
  EXPECT_THAT(table, HasSubstr("\"Tv\" is shutter"));
  EXPECT_THAT(table, HasSubstr("\"battery\" is note"));
  EXPECT_THAT(table, HasSubstr("3      1     1/60"));
  EXPECT_THAT(table, HasSubstr("aperture priority"));
  EXPECT_THAT(table, HasSubstr("+0.33"));
  EXPECT_THAT(table, HasSubstr("no picture"));
  EXPECT_THAT(table, HasSubstr("line 4, Tv: \"8?\" is marked as uncertain."));
  EXPECT_THAT(table, Not(HasSubstr("lens")));  // columns that nobody wrote are left out
}

TEST(LogTable, says_when_nothing_is_doubtful) {
  EXPECT_THAT(table_of("frame,shutter,f\n1,60,8\n"), HasSubstr("Nothing was doubtful."));
}

TEST(LogTable, stays_within_the_terminal) {
  const std::string longest(300, 'x');
  std::istringstream lines(
      table_of("frame,shutter,f,notes\n1,60,8," + longest + "\n2,60,8,\x1b[31m\n", 80));
  for (std::string line; std::getline(lines, line);) {
    EXPECT_LE(display_width(line), 80) << line;
    EXPECT_EQ(line.find('\x1b'), std::string::npos);
  }
}

}  // namespace
}  // namespace basefog::report
