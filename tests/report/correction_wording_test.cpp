// SPDX-License-Identifier: GPL-3.0-or-later
#include "report/correction_wording.hpp"

#include <gtest/gtest.h>

namespace basefog::report {
namespace {

StopsEstimate two_sided(double value, double low, double high) {
  return {Stops(value), Stops(low), Stops(high)};
}

TEST(CorrectionText, says_what_the_picture_needed) {
  EXPECT_EQ(correction_text(two_sided(0.8, 0.5, 1.1)), "under by 0.8");
  EXPECT_EQ(correction_text(two_sided(-1.24, -1.5, -1.0)), "over by 1.2");
  EXPECT_EQ(correction_text(two_sided(0.49, 0.2, 0.7)), "well exposed");
  EXPECT_EQ(correction_text(two_sided(-0.49, -0.7, -0.2)), "well exposed");
}

// Where more than half of the interval lies in other verdicts, words give both ends.
TEST(CorrectionText, uncertain_verdicts_are_said_as_a_range) {
  EXPECT_EQ(correction_text(two_sided(0.55, -0.8, 1.9)), "over 0.8 to under 1.9");
  EXPECT_EQ(correction_text(two_sided(0.6, -0.3, 0.8)), "well exposed to under 0.8");
  EXPECT_EQ(correction_text(two_sided(1.4, 1.0, 2.6)), "under by 1.0 to 2.6");
}

TEST(CorrectionText, one_sided_amounts_are_bounds) {
  EXPECT_EQ(correction_text({Stops(1.2), Stops(1.0), std::nullopt}), "under by at least 1.0");
  EXPECT_EQ(correction_text({Stops(1.2), std::nullopt, Stops(1.4)}), "under by at most 1.4");
  EXPECT_EQ(correction_text({Stops(-1.2), std::nullopt, Stops(-1.0)}), "over by at least 1.0");
  EXPECT_EQ(correction_text({Stops(-1.2), Stops(-1.5), std::nullopt}), "over by at most 1.5");
  EXPECT_EQ(correction_text({Stops(0.6), Stops(-0.1), std::nullopt}), "under by an unknown amount");
  EXPECT_EQ(correction_text({Stops(0.2), Stops(0.1), std::nullopt}), "well exposed or under");
  EXPECT_EQ(correction_text({Stops(-0.2), std::nullopt, Stops(-0.1)}), "well exposed or over");
}

}  // namespace
}  // namespace basefog::report
