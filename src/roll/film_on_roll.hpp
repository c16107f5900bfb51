// SPDX-License-Identifier: GPL-3.0-or-later
// What a roll itself shows of its film. Each step takes the film as known so far and returns it as
// known after.
#pragma once

#include <optional>
#include <span>
#include <string>

#include "basefog/roll/roll_film.hpp"
#include "roll/film_choice.hpp"
#include "roll/frame_rows.hpp"
#include "roll/references.hpp"

namespace basefog::roll {

/// The film in the development that most rows of the log ask for (push or pull); as given where its
/// contrast was measured or nothing was asked.
film::FilmProfile developed_as_asked(const film::FilmProfile& film,
                                     const std::optional<log::ShotLog>& log);

/// The film by what is remembered of it, by the development that was asked for, and, of a film test
/// that was shot on another roll, less sure by what rolls differ by. chosen: as named or seen.
KnownFilm known_film(const ChosenFilm& chosen, const std::optional<log::ShotLog>& log,
                     const ReviewOptions& options, const std::string& roll);

/// The same film had nothing been remembered of it.
KnownFilm as_if_new(const KnownFilm& film, const std::optional<log::ShotLog>& log,
                    const std::string& roll);

/// Looks for exposure series among the measured frames that have a sure row of the log, as
/// the film known before would show them. The film as
/// believed after what they say.
RollFilm learn_from_series(std::span<const ReferencedFrame> frames, const MatchedLog& rows,
                           const KnownFilm& known);

}  // namespace basefog::roll
