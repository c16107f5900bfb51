// SPDX-License-Identifier: GPL-3.0-or-later
#pragma once

#include "basefog/roll/analysis.hpp"

namespace basefog::roll {

/// Takes the development that most rows of the log ask for (push or pull) into the film, where the
/// film's contrast was not measured.
void allow_for_push(Analysis& analysis);

/// Puts what the roll shows of its film into analysis.film_notes: what series say, how the film was
/// developed, what a push was taken to do.
void describe_film(Analysis& analysis);

/// Holds the film against how long the ranges of the roll's scenes look through it
/// (contrast_from_ranges), and says so in analysis.scene_ranges; what is left of the response's
/// doubt goes into the options of the readings.
void weigh_scene_ranges(Analysis& analysis, reading::ReadingOptions& reading);

/// Looks for exposure series among the frames that have a sure row of the log, as `chosen`, the
/// film before anything on the roll spoke of it, would show them, and puts what they say into
/// analysis.series. True where the film's curve was replaced by the one found: every reading must
/// then be taken anew.
bool learn_film(Analysis& analysis, const film::FilmProfile& chosen);

}  // namespace basefog::roll
