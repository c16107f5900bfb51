// SPDX-License-Identifier: GPL-3.0-or-later
#pragma once

#include <cstddef>
#include <optional>
#include <span>
#include <vector>

#include "basefog/roll/analysis.hpp"
#include "roll/frame_readings.hpp"
#include "roll/matched_log.hpp"
#include "roll/references.hpp"

namespace basefog::roll {

/// What the rows say together that a frame may have, where it is doubtful which it has.
struct RowsTogether {
  /// The most probable one, of whose settings those are left that rows of nine tenths of the
  /// probability share.
  log::LogRow row;
  ExposureFromAim expected;  ///< mean of what they asked for
  double sigma = 0;          ///< standard deviation of that, stops
};

/// A frame that was read and has a row of the log: what both say together.
struct LoggedFrame {
  std::size_t frame = 0;                           ///< index into the roll's frames
  const log::LogRow* row = nullptr;                ///< not owned
  const reading::FrameReading* reading = nullptr;  ///< not owned
  density::ReferenceKind reference = density::ReferenceKind::none;
  bool sure = true;                      ///< the row is surely this frame's
  std::optional<RowsTogether> together;  ///< where it is not, and the frame probably has one
  /// As in FrameResult; expected, deviation and technique are absent where the row does not say
  /// what was asked for.
  std::optional<ExposureFromAim> expected;
  Stops expected_sigma{0};
  std::optional<StopsEstimate> deviation;
  std::optional<Stops> technique;
  std::optional<StopsEstimate> scene_ev;
  FlagSet flags;  ///< that the comparison raises
};

/// Exposure against what the settings asked for, for every frame with a reading and a row. Points
/// into `readings` and `rows`.
std::vector<LoggedFrame> compare_with_log(std::span<const ReferencedFrame> frames,
                                          const FrameReadings& readings, const MatchedLog& rows,
                                          const film::FilmProfile& film);

}  // namespace basefog::roll
