// SPDX-License-Identifier: GPL-3.0-or-later
#include "roll/frame_results.hpp"

#include <utility>

namespace basefog::roll {
namespace {

FlagSet flags_of(const ReferencedFrame& frame,
                 const std::optional<reading::FrameReading>& reading) {
  FlagSet flags = frame.flags;
  if (reading) flags.insert(reading->flags);
  return flags;
}

FlagSet flags_of_matching(const MatchedLog& rows, std::size_t frame, bool measured) {
  FlagSet flags;
  if (rows.is_doubtful(frame)) flags.insert(Flag::match_doubtful);
  if (rows.log && measured && !rows.row_index(frame)) flags.insert(Flag::no_log_row);
  return flags;
}

}  // namespace

std::vector<FrameResult> frame_results(FrameParts parts) {
  std::vector<FrameResult> results;
  results.reserve(parts.frames.size());
  for (std::size_t i = 0; i < parts.frames.size(); ++i) {
    ReferencedFrame& frame = parts.frames[i];
    const bool measured = frame.state == density::FrameState::measured;
    FrameResult result{.measurement = {}, .state = frame.state};
    result.reading = parts.readings[i];
    result.log_row = parts.rows.row_index(i);
    result.flags = flags_of(frame, parts.readings[i]);
    result.flags.insert(flags_of_matching(parts.rows, i, measured));
    result.reference = std::move(frame.base);
    result.measurement = std::move(frame.measurement);
    results.push_back(std::move(result));
  }
  for (const RollDoubt& doubt : parts.doubts) {
    for (const std::size_t frame : doubt.frames) results[frame].flags.insert(doubt.warning.flag);
  }
  for (std::size_t i = 0; i < parts.logged.size(); ++i) {
    const LoggedFrame& logged = parts.logged[i];
    FrameResult& result = results[logged.frame];
    result.expected = logged.expected;
    result.expected_sigma = logged.expected_sigma;
    result.deviation = logged.deviation;
    result.technique = logged.technique;
    result.scene_ev = logged.scene_ev;
    result.flags.insert(logged.flags);
    result.replacements = std::move(parts.replacements[i]);
  }
  return results;
}

}  // namespace basefog::roll
