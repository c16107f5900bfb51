// SPDX-License-Identifier: GPL-3.0-or-later
#include "roll/references.hpp"

#include <gtest/gtest.h>

namespace basefog::roll {
namespace {

FrameResult frame_of(int index, double base) {
  FrameResult frame;
  frame.state = density::FrameState::measured;
  frame.measurement.index = index;
  frame.measurement.apertures = {.columns = 2,
                                 .rows = 1,
                                 .channels = 1,
                                 .density = {0.9F, 1.4F},
                                 .sigma = {0.01F, 0.01F},
                                 .clipped = {0, 0},
                                 .floored = {0, 0}};
  if (base > 0) {
    frame.measurement.rebate = {.kind = density::ReferenceKind::rebate,
                                .density = {Density::from_value(base)},
                                .sigma = {NetDensity(0.003)},
                                .flags = {}};
  }
  return frame;
}

// Frames of one strip share one rebate, which cannot show that the next scan had its exposure.
TEST(References, the_frames_of_one_scan_do_not_lock_the_roll) {
  std::vector<FrameResult> frames;
  for (int i = 0; i < 4; ++i) frames.push_back(frame_of(i, 0.35));
  frames.push_back(frame_of(0, 0));
  give_references(frames, {});
  EXPECT_EQ(frames[3].reference.kind, density::ReferenceKind::rebate);
  EXPECT_EQ(frames[4].state, density::FrameState::no_reference);
  frames.push_back(frame_of(0, 0.352));  // a second scan that agrees
  frames[4] = frame_of(0, 0);
  give_references(frames, {});
  EXPECT_EQ(frames[4].reference.kind, density::ReferenceKind::roll);
}

}  // namespace
}  // namespace basefog::roll
