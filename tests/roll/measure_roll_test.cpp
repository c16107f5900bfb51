// SPDX-License-Identifier: GPL-3.0-or-later
#include "roll/measure_roll.hpp"

#include <gtest/gtest.h>

#include <fstream>

#include "test_folder.hpp"

namespace basefog::roll {
namespace {

namespace fs = std::filesystem;

/// Two scans of the sample roll, and between them a file that is none.
std::vector<fs::path> some_scans() {
  const fs::path roll = fs::path(BASEFOG_SAMPLES) / "roll";
  const fs::path broken = test::test_folder() / "broken.tif";
  std::ofstream(broken) << "II*";
  return {roll / "roll03_05.tif", broken, roll / "roll03_02.tif"};
}

MeasuredScans measured_by(int threads) {
  ReviewOptions options;
  options.threads = threads;
  return measure_scans(some_scans(), options);
}

/// And the one that cannot be read costs itself alone.
TEST(MeasureScans, are_the_same_and_in_order_with_any_number_of_threads) {
  const std::vector<fs::path> files = some_scans();
  const MeasuredScans one = measured_by(1);
  const MeasuredScans many = measured_by(3);
  ASSERT_EQ(one.frames.size(), files.size());
  ASSERT_EQ(many.frames.size(), files.size());
  EXPECT_EQ(one.failures.size(), 1U);
  EXPECT_EQ(many.failures.size(), 1U);
  for (std::size_t i = 0; i < files.size(); ++i) {
    EXPECT_EQ(one.frames[i].state == density::FrameState::unreadable, i == 1) << files[i];
    EXPECT_EQ(many.frames[i].apertures.density.empty(), i == 1) << files[i];
    EXPECT_EQ(one.frames[i].file, files[i]);
    EXPECT_EQ(many.frames[i].file, files[i]);
    EXPECT_EQ(one.frames[i].apertures.density, many.frames[i].apertures.density) << files[i];
    EXPECT_EQ(one.frames[i].rebate.density, many.frames[i].rebate.density) << files[i];
  }
}

}  // namespace
}  // namespace basefog::roll
