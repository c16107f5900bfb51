// SPDX-License-Identifier: GPL-3.0-or-later
#pragma once

#include "basefog/core/units.hpp"
#include "basefog/film/film_profile.hpp"

namespace basefog::film {

/// A film as longer (push > 0) or shorter development makes it. A push of one stop lengthens the
/// time by about 1.4 (common practice) and so multiplies the average gradient by 1.2: the gradient
/// grows by 0.26 of 0.62 a doubling of the time [StepWedge]. How much a lab does is uncertain by 8
/// % a stop, which is added to the contrast's sigma. Speed at 0.10 above base hardly follows and is
/// left. A measured film (film test, series) is returned as it is: its development is in it.
FilmProfile developed(const FilmProfile& film, Stops push);

}  // namespace basefog::film
