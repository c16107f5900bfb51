// SPDX-License-Identifier: GPL-3.0-or-later
#pragma once

#include <optional>

#include "basefog/memory/kept_roll.hpp"
#include "basefog/meter/bias_history.hpp"
#include "basefog/roll/analysis.hpp"

namespace basefog::roll {

/// What to keep of an analysis for its camera. Throws InputError (usage) where the roll says
/// nothing of the meter: no log, fewer than three frames with a reading and a row.
meter::RememberedRoll remembered_roll(const Analysis& analysis);

/// What to keep of it for its film; nothing where nobody named the film, or no frame was read.
std::optional<memory::KeptFilm> kept_film(const Analysis& analysis);

}  // namespace basefog::roll
