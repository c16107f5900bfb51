// SPDX-License-Identifier: GPL-3.0-or-later
// A small run of the study: that it works and that readings are about right. The figures that count
// come from scripts/validate.
#include "validation/study.hpp"

#include <gtest/gtest.h>

namespace validation {
namespace {

class SmallStudy : public ::testing::TestWithParam<Stratum> {};

TEST_P(SmallStudy, reads_simulated_frames_within_their_intervals) {
  StudyOptions options;
  options.rolls = GetParam().counted + 1;
  options.frames = 3;
  options.given_frames = true;
  const std::vector<Outcome> outcomes = run(GetParam(), options);
  ASSERT_EQ(outcomes.size(), 3U);
  const Score exposure = score(outcomes, AnswerKind::exposure);
  EXPECT_EQ(exposure.frames, 3);
  EXPECT_GE(exposure.coverage, 0.65);
  const bool tested = GetParam().film_test && GetParam().rolls_of_film == 1;
  EXPECT_LT(exposure.rms, tested ? 0.4 : 1.2);
}

INSTANTIATE_TEST_SUITE_P(Strata, SmallStudy, ::testing::ValuesIn(strata()),
                         [](const auto& stratum) { return std::to_string(stratum.index); });

}  // namespace
}  // namespace validation
