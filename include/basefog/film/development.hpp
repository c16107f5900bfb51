// SPDX-License-Identifier: GPL-3.0-or-later
#pragma once

#include "basefog/core/units.hpp"
#include "basefog/film/film_profile.hpp"

namespace basefog::film {

/// A film as longer (push > 0) or shorter development makes it: the average gradient is multiplied
/// by film_facts::kPushGradientFactor a stop, and how uncertain that is is added to the contrast's
/// sigma. Speed at 0.10 above base hardly follows and is
/// left. A measured film (film test, series) is returned as it is: its development is in it.
FilmProfile developed(const FilmProfile& film, Stops push);

}  // namespace basefog::film
