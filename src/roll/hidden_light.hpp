// SPDX-License-Identifier: GPL-3.0-or-later
#pragma once

#include <span>

#include "roll/film_exposures.hpp"
#include "roll/metering.hpp"

namespace basefog {

/// Chance that light which the film, or the scan, cannot show raises the metered mean by more than
/// half a stop, so that the mean is a lower bound and no more. Where the film saturates is only
/// known to the profile's shoulder_sigma_stops, so the light at each density counts with the chance
/// that it is saturated there; places where the film shows densities that a nearer shoulder could
/// not have made rule that shoulder out. as_read: with no errors assumed.
double chance_of_hidden_light(const NetDensities& densities, const FilmProfile& film,
                              std::span<const PossibleMetering> meterings,
                              const FilmExposures& as_read);

}  // namespace basefog
