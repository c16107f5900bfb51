// SPDX-License-Identifier: GPL-3.0-or-later
#pragma once

#include <initializer_list>
#include <optional>
#include <span>
#include <vector>

#include "basefog/roll/analysis.hpp"
#include "basefog/roll/roll_film.hpp"
#include "roll/roll_doubts.hpp"

namespace basefog::roll {

/// Why there is no log, or the values of one that were not understood, one warning each.
std::vector<Warning> log_warnings(const std::optional<log::ShotLog>& log,
                                  const std::optional<density::ScanFailure>& failure);

/// Warnings of roll and scans, as found by several steps, in one list.
std::vector<Warning> joined(std::initializer_list<std::vector<Warning>> lists);
std::vector<Warning> warnings_of(std::span<const RollDoubt> doubts);
/// unlike: the roll does not fit what is remembered of its film.
std::vector<Warning> warnings_of(const KnownFilm& film, bool unlike);

/// `before` and one warning a file and flag of the frames, so that a roll of 36 says a thing that
/// all frames share once. log: the one that the frames' rows are of.
std::vector<Warning> with_frame_warnings(std::vector<Warning> before,
                                         std::span<const FrameResult> frames,
                                         const std::optional<log::ShotLog>& log);

}  // namespace basefog::roll
