// SPDX-License-Identifier: GPL-3.0-or-later
#include "roll/references.hpp"

#include <gtest/gtest.h>

namespace basefog::roll {
namespace {

density::FrameMeasurement frame_of(int index, double base) {
  density::FrameMeasurement frame;
  frame.index = index;
  frame.apertures = {.columns = 2,
                     .rows = 1,
                     .channels = 1,
                     .density = {0.9F, 1.4F},
                     .sigma = {0.01F, 0.01F},
                     .clipped = {0, 0},
                     .floored = {0, 0}};
  if (base > 0) {
    frame.rebate = {.kind = density::ReferenceKind::rebate,
                    .density = {Density::from_value(base)},
                    .sigma = {DensityDifference(0.003)},
                    .flags = {}};
  }
  return frame;
}

// Frames of one strip share one rebate, which cannot show that the next scan had its exposure.
TEST(References, the_frames_of_one_scan_do_not_lock_the_roll) {
  std::vector<density::FrameMeasurement> frames;
  for (int i = 0; i < 4; ++i) frames.push_back(frame_of(i, 0.35));
  frames.push_back(frame_of(0, 0));
  const std::vector<ReferencedFrame> alone = reference_frames(frames, {});
  EXPECT_EQ(alone[3].base.kind, density::ReferenceKind::rebate);
  EXPECT_EQ(alone[4].state, density::FrameState::no_reference);
  frames.push_back(frame_of(0, 0.352));  // a second scan that agrees
  EXPECT_EQ(reference_frames(frames, {})[4].base.kind, density::ReferenceKind::roll);
}

}  // namespace
}  // namespace basefog::roll
