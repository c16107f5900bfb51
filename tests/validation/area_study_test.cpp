// SPDX-License-Identifier: GPL-3.0-or-later
// A small run of the study of frames and base + fog, with the thresholds that the large one is held
// to. The figures that count come from area_study.
#include "validation/area_study.hpp"

#include <gtest/gtest.h>

namespace validation {
namespace {

TEST(AreaStudy, finds_frames_and_base_on_simulated_scans) {
  AreaStudyOptions options;
  options.panoramas = BASEFOG_TEST_DATA "/panoramas";
  options.quick = true;
  options.scans = 5;
  std::vector<AreaOutcome> all;
  for (int k = 0; k < kScanKinds; ++k) {
    const auto some = run_area_study(static_cast<ScanKind>(k), options);
    all.insert(all.end(), some.begin(), some.end());
  }
  const AreaScore s = score(all);
  EXPECT_GE(s.found, 0.98 * s.frames) << s.found << " of " << s.frames;
  EXPECT_EQ(s.invented, 0);
  EXPECT_GE(s.close, 0.95 * s.bases) << s.close << " of " << s.bases;
  EXPECT_EQ(s.far_unflagged, 0);
  EXPECT_EQ(s.refused, s.no_reference);
}

}  // namespace
}  // namespace validation
