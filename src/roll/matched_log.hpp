// SPDX-License-Identifier: GPL-3.0-or-later
#pragma once

#include <cstddef>
#include <optional>

#include "basefog/log/log.hpp"
#include "basefog/matching/matching.hpp"

namespace basefog::roll {

/// A log whose rows have been laid to a roll's frames; both parts absent where there is no log.
struct MatchedLog {
  std::optional<log::ShotLog> log;  ///< rows made of scans' own settings stand last
  std::optional<matching::Matching> matching;

  /// Index of the frame's row.
  std::optional<std::size_t> row_index(std::size_t frame) const {
    return matching ? matching->frames[frame].row : std::nullopt;
  }
  /// The frame's row; null where it has none.
  const log::LogRow* row_of(std::size_t frame) const {
    const std::optional<std::size_t> row = row_index(frame);
    return row ? &log->rows[*row] : nullptr;
  }
  /// Whether the log is known to be another roll's.
  bool is_foreign() const {
    return matching && matching->log_test &&
           matching->log_test->belongs == matching::LogBelongs::no;
  }
  /// Whether something speaks for the log, so that it can be learned from.
  bool is_vouched_for() const {
    return matching &&
           (!matching->log_test || matching->log_test->belongs == matching::LogBelongs::yes);
  }
  /// Whether what the camera gave on average may be learned from the log.
  bool shows_the_camera() const {
    return is_vouched_for() || (!is_foreign() && matching && matching->log_test->alike_anywhere);
  }
  /// Whether the pairing of the frame is doubtful.
  bool is_doubtful(std::size_t frame) const { return matching && matching->frames[frame].doubtful; }
};

}  // namespace basefog::roll
