// SPDX-License-Identifier: GPL-3.0-or-later
#pragma once

#include <optional>
#include <span>
#include <vector>

#include "basefog/roll/analysis.hpp"
#include "roll/references.hpp"

namespace basefog::roll {

/// The film that a roll's frames are read through before the roll itself has spoken of it.
struct ChosenFilm {
  film::FilmProfile profile;
  std::vector<Warning> warnings;  ///< a speed that nobody stated
};

/// The film of a roll: the one that the options name, else the measured curve that earlier rolls of
/// the film were read through, else the generic film of the kind that the scans show. Its speed:
/// from the options, else a profile that measured it, else the log's own statement, else the
/// profile, else the exposure index that most of the log's rows were shot at, else 100.
ChosenFilm choose_film(std::span<const ReferencedFrame> frames,
                       const std::optional<log::ShotLog>& log, const ReviewOptions& options);

}  // namespace basefog::roll
