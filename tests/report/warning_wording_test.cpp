// SPDX-License-Identifier: GPL-3.0-or-later
#include "report/warning_wording.hpp"

#include <gmock/gmock.h>

namespace basefog::report {
namespace {

using response::ResponseDoubt;
using roll::AssumedSpeed;
using roll::Warning;
using testing::HasSubstr;

TEST(WarningText, is_the_flags_own_where_nothing_more_is_known) {
  const Warning warning{"a.tif", Flag::blank};
  EXPECT_EQ(warning_text(warning), text_of(Flag::blank).long_text);
  EXPECT_EQ(next_step_text(warning), text_of(Flag::blank).next_step);
}

TEST(WarningText, says_what_is_known) {
  const Warning remark{"log.csv", Flag::log_value_doubtful,
                       log::LogRemark{4, "Tv", "8?", {log::Doubt::hedged}}};
  EXPECT_EQ(warning_text(remark), "Line 4, Tv \"8?\": \"8?\" is marked as uncertain.");
  EXPECT_EQ(next_step_text(remark), text_of(Flag::log_value_doubtful).next_step);
  const Warning failed{
      "a.tif", Flag::unreadable_file,
      density::ScanFailure{"a.tif", Flag::unreadable_file, "is cut short", "copy it again"}};
  EXPECT_EQ(warning_text(failed), "is cut short");
  EXPECT_EQ(next_step_text(failed), "copy it again");
  EXPECT_THAT(warning_text({{}, Flag::film_speed_assumed, AssumedSpeed{FilmSpeed(400), true}}),
              HasSubstr("taken to be ISO 400, as most of the log's rows"));
  EXPECT_THAT(warning_text({{}, Flag::film_speed_assumed, AssumedSpeed{FilmSpeed(100), false}}),
              HasSubstr("taken to be ISO 100. Stops"));
  EXPECT_THAT(warning_text({{}, Flag::response_implausible, ResponseDoubt::too_thin}),
              HasSubstr("more than 0.6 net density"));
}

}  // namespace
}  // namespace basefog::report
