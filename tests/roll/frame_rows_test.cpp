// SPDX-License-Identifier: GPL-3.0-or-later
#include "roll/frame_rows.hpp"

#include <gtest/gtest.h>

#include <string>

namespace basefog::roll {
namespace {

/// A camera scan that carries its exposure time, or nothing.
ReferencedFrame scan_with(std::optional<double> shutter_seconds, const std::string& name) {
  ReferencedFrame frame{.state = density::FrameState::measured};
  frame.measurement.file = name;
  frame.measurement.metadata.shutter_seconds = shutter_seconds;
  return frame;
}

TEST(RowsOfScans, stay_with_their_scan_after_one_without_settings) {
  const std::vector<ReferencedFrame> frames = {
      scan_with(1.0 / 60, "a.tif"), scan_with(std::nullopt, "b.tif"), scan_with(1.0 / 250, "c.tif"),
      scan_with(std::nullopt, "d.tif"), scan_with(2, "e.tif")};
  std::vector<density::FrameMeasurement> measurements;
  for (const ReferencedFrame& frame : frames) measurements.push_back(frame.measurement);
  const Written written = or_from_scans({}, measurements);
  ASSERT_TRUE(written.log);
  EXPECT_EQ(written.log->rows.size(), 3U);
  const MatchedLog matched = match_rows(frames, FrameReadings(frames.size()),
                                        film::generic_black_and_white(FilmSpeed(400)), written);
  for (std::size_t i = 0; i < frames.size(); ++i) {
    const log::LogRow* row = matched.row_of(i);
    const std::optional<double> own = frames[i].measurement.metadata.shutter_seconds;
    ASSERT_EQ(row != nullptr, own.has_value()) << i;
    if (row != nullptr) {
      EXPECT_DOUBLE_EQ(row->used.shutter->seconds(), *own) << i;
    }
  }
}

}  // namespace
}  // namespace basefog::roll
