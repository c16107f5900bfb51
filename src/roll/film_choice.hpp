// SPDX-License-Identifier: GPL-3.0-or-later
#pragma once

#include <optional>
#include <vector>

#include "basefog/roll/analysis.hpp"

namespace basefog::roll {

/// The film of a roll: the one that the options name, else the generic film of the kind that the
/// scans show. Its speed: from the options, else a profile that measured it, else the log's own
/// statement, else the profile, else the exposure index that most of the log's rows were shot at,
/// else 100; a speed that nobody stated is warned of.
film::FilmProfile choose_film(const std::vector<FrameResult>& frames,
                              const std::optional<log::ShotLog>& log, const ReviewOptions& options,
                              std::vector<Warning>& warnings);

}  // namespace basefog::roll
