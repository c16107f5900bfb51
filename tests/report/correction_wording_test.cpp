// SPDX-License-Identifier: GPL-3.0-or-later
#include "report/correction_wording.hpp"

#include <gtest/gtest.h>

namespace basefog::report {
namespace {

reading::FrameReading reading_of(double value, double low, double high, double chance = 0.95) {
  reading::FrameReading reading;
  reading.correction.estimate = {Stops(value), Stops(low), Stops(high)};
  reading.verdict = reading::verdict_of(Stops(value));
  reading.verdict_chance = chance;
  return reading;
}

TEST(CorrectionWording, says_the_best_value_and_its_range) {
  EXPECT_EQ(needed_text(reading_of(1.4, 1.1, 2.1)), "under 1.4");
  EXPECT_EQ(needed_range(reading_of(1.4, 1.1, 2.1)), "1.1 to 2.1");
  EXPECT_EQ(needed_text(reading_of(-0.8, -1.2, -0.5)), "over 0.8");
  EXPECT_EQ(needed_range(reading_of(-0.8, -1.2, -0.5)), "0.5 to 1.2");
}

TEST(CorrectionWording, ranges_on_both_sides_of_none_have_signs) {
  EXPECT_EQ(needed_range(reading_of(0.6, -0.8, 1.9)), "-0.8 to +1.9");
  EXPECT_EQ(needed_text(reading_of(0.1, -0.3, 0.4)), "well exposed");
  EXPECT_EQ(needed_range(reading_of(0.1, 0.05, 0.4)), "+0.1 to +0.4");
}

TEST(CorrectionWording, how_sure_is_told_in_three_steps) {
  EXPECT_EQ(sureness_of(reading_of(0.1, -0.3, 0.4, 0.90)), Sureness::sure);
  EXPECT_EQ(sureness_of(reading_of(0.1, -0.3, 0.4, 0.89)), Sureness::likely);
  EXPECT_EQ(sureness_of(reading_of(0.1, -0.3, 0.4, 0.66)), Sureness::likely);
  EXPECT_EQ(sureness_of(reading_of(0.1, -0.3, 0.4, 0.65)), Sureness::unsure);
  EXPECT_EQ(word_of(Sureness::likely), "likely");
}

// Between under and strongly under nothing hangs on which: it was under.
TEST(CorrectionWording, how_strongly_is_no_doubt_of_the_direction) {
  // The half stop lies (1.5 - 0.5) / (0.65 / 1.96) = 3.0 sigma away.
  EXPECT_EQ(sureness_of(reading_of(1.5, 0.85, 2.15, 0.51)), Sureness::sure);
  // (0.6 - 0.5) / (0.5 / 1.96) = 0.39 sigma, 65 %.
  EXPECT_EQ(sureness_of(reading_of(0.6, 0.1, 1.1, 0.6)), Sureness::unsure);
}

}  // namespace
}  // namespace basefog::report
