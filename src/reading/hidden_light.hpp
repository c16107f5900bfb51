// SPDX-License-Identifier: GPL-3.0-or-later
#pragma once

#include <span>

#include "reading/film_exposures.hpp"
#include "reading/metering.hpp"

namespace basefog::reading {

/// What light the film, or the scan, hides.
struct HiddenLight {
  double in_mean = 0;   ///< chance that it raises the metered mean by more than half a stop
  double in_reach = 0;  ///< chance that there is some at the 98th percentile
  double rise = 0;      ///< of the metered mean, root mean square over all chances, stops
};

/// Where the film saturates is only known to the profile's shoulder and contrast, so the light at
/// each density counts with the chance that it is saturated there; densities that a film with a
/// nearer shoulder could not show rule that shoulder out. as_read: with no errors assumed.
HiddenLight hidden_light(const NetDensities& densities, const film::FilmProfile& film,
                         std::span<const PossibleMetering> meterings, const FilmExposures& as_read);

}  // namespace basefog::reading
