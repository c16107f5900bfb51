// SPDX-License-Identifier: GPL-3.0-or-later
#pragma once

#include "basefog/analysis.hpp"

namespace basefog {

/// Takes the development that most rows of the log ask for (push or pull) into the film, where the
/// film's contrast was not measured.
void allow_for_push(Analysis& analysis);

/// Puts what the roll shows of its film into analysis.film_notes: what series say, how the film was
/// developed, what a push was taken to do.
void describe_film(Analysis& analysis);

/// Looks for exposure series among the frames that have a sure row of the log, and puts what they
/// say into analysis.series. True where the film's curve was replaced by the one found: every
/// reading must then be taken anew.
bool learn_film(Analysis& analysis);

}  // namespace basefog
