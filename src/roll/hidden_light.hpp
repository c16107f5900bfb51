// SPDX-License-Identifier: GPL-3.0-or-later
#pragma once

#include <span>

#include "roll/film_exposures.hpp"
#include "roll/metering.hpp"

namespace basefog {

/// Chances that the film, or the scan, hides light.
struct HiddenLight {
  double in_mean = 0;   ///< that raises the metered mean by more than half a stop
  double in_reach = 0;  ///< at the 98th percentile
};

/// Where the film saturates is only known to the profile's shoulder and contrast, so the light at
/// each density counts with the chance that it is saturated there; densities that a film with a
/// nearer shoulder could not show rule that shoulder out. as_read: with no errors assumed.
HiddenLight hidden_light(const NetDensities& densities, const FilmProfile& film,
                         std::span<const PossibleMetering> meterings, const FilmExposures& as_read);

}  // namespace basefog
