// SPDX-License-Identifier: GPL-3.0-or-later
#include "roll/roll_warnings.hpp"

#include <gtest/gtest.h>

#include <string>

namespace basefog::roll {
namespace {

std::vector<FrameResult> frames_with(std::initializer_list<FlagSet> flags) {
  std::vector<FrameResult> frames;
  for (const FlagSet& of_frame : flags) {
    FrameResult frame;
    frame.measurement.file = std::to_string(frames.size()) + ".tif";
    frame.flags = of_frame;
    frames.push_back(std::move(frame));
  }
  return frames;
}

TEST(RollWarnings, name_each_frame_unless_all_share_the_fault) {
  const auto one = frames_with({{Flag::blank}, {}});
  ASSERT_EQ(with_frame_warnings({}, one, {}).size(), 1U);
  EXPECT_EQ(with_frame_warnings({}, one, {}).front().file, "0.tif");
  const auto all = frames_with({{Flag::blank}, {Flag::blank}});
  ASSERT_EQ(with_frame_warnings({}, all, {}).size(), 1U);
  EXPECT_FALSE(with_frame_warnings({}, all, {}).front().file);
}

TEST(RollWarnings, what_was_said_of_the_roll_is_not_said_again_of_its_frames) {
  const auto frames = frames_with({{Flag::response_implausible}, {}});
  const Warning said{std::nullopt, Flag::response_implausible};
  EXPECT_EQ(with_frame_warnings({said}, frames, {}).size(), 1U);
}

TEST(RollWarnings, frames_of_one_file_share_a_warning) {
  auto frames = frames_with({{Flag::blank}, {Flag::blank}, {}});
  frames[1].measurement.file = frames[0].measurement.file;
  EXPECT_EQ(with_frame_warnings({}, frames, {}).size(), 1U);
}

TEST(RollWarnings, a_scan_that_could_not_be_read_has_its_own) {
  EXPECT_TRUE(with_frame_warnings({}, frames_with({{Flag::unreadable_file}, {}}), {}).empty());
}

}  // namespace
}  // namespace basefog::roll
