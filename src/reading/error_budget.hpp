// SPDX-License-Identifier: GPL-3.0-or-later
#pragma once

#include <span>

#include "reading/frame_numbers.hpp"
#include "reading/net_densities.hpp"

namespace basefog::reading {

/// How far one cause may move a number.
struct Swing {
  double down = 0;       ///< >= 0, stops, at the 95 % end of the cause
  double up = 0;         ///< >= 0, the same upwards
  double per_sigma = 0;  ///< signed, for one standard deviation of the cause
};

/// Of one number, by cause. The metering pattern's swing stays zero but for per_sigma: its few
/// possible values are kept apart, not swung.
using Swings = EnumArray<ErrorCause, Swing>;

/// The root sum of squares of all causes, the ends apart (causes are independent [GUM, 5.1.2]).
Swing total(const Swings& swings);

/// Swings of all five numbers: each cause is moved to both ends of its 95 % range and the numbers
/// are worked out anew, so that bends of the curve and jumps of the correction are seen as they
/// are (finite differences [GUM, 5.1.3, note 2]).
EnumArray<Quantity, Swings> error_swings(const NetDensities& densities,
                                         const film::FilmProfile& film,
                                         std::span<const PossibleMetering> meterings, double aim);

/// The 95 % interval about the possible values of a number. An end that is open (at_least: the
/// upper, at_most: the lower) is left out and the other becomes a 95 % bound.
StopsEstimate interval(double value, std::span<const double> possible,
                       std::span<const PossibleMetering> meterings, const Swing& total,
                       bool at_least, bool at_most);

}  // namespace basefog::reading
