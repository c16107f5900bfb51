// SPDX-License-Identifier: GPL-3.0-or-later
// What a roll itself shows of its film. Each step takes the film as known so far and returns it as
// known after.
#pragma once

#include <optional>
#include <span>

#include "basefog/roll/roll_film.hpp"
#include "roll/frame_rows.hpp"
#include "roll/references.hpp"

namespace basefog::roll {

/// The film in the development that most rows of the log ask for (push or pull); as given where its
/// contrast was measured or nothing was asked.
film::FilmProfile developed_as_asked(const film::FilmProfile& film,
                                     const std::optional<log::ShotLog>& log);

/// Looks for exposure series among the measured frames that have a sure row of the log, as
/// `developed`, the film before anything on the roll spoke of it, would show them. Where they are
/// surer than it, the film they found; else `developed` with the series beside it.
RollFilm learn_from_series(std::span<const ReferencedFrame> frames, const MatchedLog& rows,
                           const film::FilmProfile& developed);

}  // namespace basefog::roll
