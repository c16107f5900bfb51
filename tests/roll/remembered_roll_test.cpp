// SPDX-License-Identifier: GPL-3.0-or-later
#include "basefog/roll/remembered_roll.hpp"

#include <gtest/gtest.h>

#include "basefog/core/error.hpp"

namespace basefog::roll {
namespace {

TEST(RememberedRoll, an_undated_log_takes_the_earliest_date_of_the_scans) {
  Analysis analysis;
  analysis.log.emplace().rows.resize(4);
  analysis.frames.resize(4);
  analysis.deviations.resize(4);
  for (std::size_t i = 0; i < 4; ++i) {
    FrameResult& frame = analysis.frames[i];
    frame.measurement.metadata.original_date = "2026-05-1" + std::to_string(5 - i) + "T10:00:00";
  }
  EXPECT_EQ(remembered_roll(analysis).date, "2026-05-12T10:00:00");
  analysis.log->rows[2].date = "2026-04-01";
  EXPECT_EQ(remembered_roll(analysis).date, "2026-04-01");
}

TEST(RememberedRoll, a_roll_that_says_nothing_of_the_meter_is_not_remembered) {
  EXPECT_THROW(remembered_roll(Analysis()), InputError);
}

}  // namespace
}  // namespace basefog::roll
