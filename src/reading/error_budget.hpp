// SPDX-License-Identifier: GPL-3.0-or-later
#pragma once

#include <span>

#include "reading/frame_numbers.hpp"
#include "reading/net_densities.hpp"

namespace basefog::reading {

// How far each cause of error moves a frame's five numbers (exposure, shadow reserve, highlight
// reach and room, correction; all in stops).
//
// Formula. y(e) is a number worked out anew from the frame's densities with one cause off by e
// standard deviations (AssumedErrors), y(0) the number as it stands, z = 1.96:
//
//   down      = max(y(0) - y(-z), y(0) - y(z), 0)       stops, at the 95 % ends of the cause
//   up        = max(y(-z) - y(0), y(z) - y(0), 0)
//   per_sigma = (y(z) - y(-z)) / 2z                     signed
//
// Causes: base, response, contrast, toe, upper gradient, shoulder, light beyond the range, light on
// clear film. Noise is not swung but worked out, with w the metering weights, H and s the exposure
// and its sigma by noise, of each aperture:
//
//   exposure    sqrt(sum of (w H s)^2) / sum of w H, mean over the possible meterings
//   percentile  sqrt(sum of P (1 - P)) / sum of N, P the chance that noise puts an aperture below
//               the percentile, N the density of that normal there
//   correction  all changes that cost at most a thousandth of the frame more than the best
//
// Together, each end apart:
//
//   down = sqrt(sum over causes of down^2), up and per_sigma likewise       [GUM, 5.1.2]
//
// The interval of a number with possible values y_k of chance p_k (one for each metering pattern
// that may be the camera's) is from the 2.5 % to the 97.5 % quantile of the mixture of normals
// about y_k with sigmas down / z below and up / z above. Where one end is open, the other is the 5
// % (95 %) quantile.
//
// Assumes. Causes are independent and normal, and do not change each other's effect. Each
// AssumedErrors is one error for all of a frame, so layers that share a cause move together.
//
// Costs. 17 readings of the frame (as it stands, 8 causes at two ends): each a look-up for every
// part of every aperture and layer, one sort of the apertures and one inverse table a layer.
//
// Accurate. Ends within a tenth of the interval's width of 1000 draws of all causes at once
// (ErrorBudget.agrees_with_monte_carlo); the sums as in the GUM's examples
// (ErrorBudget.combines_as_the_end_gauge_of_the_GUM,
// ErrorBudget.adds_as_the_additive_model_of_the_GUM_supplement,
// ErrorBudget.shared_errors_add_as_the_ten_resistors_of_the_GUM). How often the intervals hold on
// whole scans: scripts/validate.
//
// Fails. A number that jumps between y(0) and an end (the correction may) is seen at the ends
// alone. Where only a bound is known (hidden_light.hpp, known_bounds.hpp) an interval would be
// wrong, and is open.
//
// Source. Finite differences in place of derivatives [GUM, 5.1.3, note 2]; asymmetric ends are
// ours.

/// How far one cause may move a number.
struct Swing {
  double down = 0;       ///< >= 0, stops, at the 95 % end of the cause
  double up = 0;         ///< >= 0, the same upwards
  double per_sigma = 0;  ///< signed, for one standard deviation of the cause
};

/// Of one number, by cause. The metering pattern has a per_sigma only (the standard deviation over
/// the possible values): its few possible values are kept apart, not swung.
using Swings = EnumArray<ErrorCause, Swing>;

/// The root sum of squares of all causes, the ends apart.
Swing total(const Swings& swings);

/// Swings of all five numbers. aim: where it lies on the film.
EnumArray<Quantity, Swings> error_swings(const NetDensities& densities,
                                         const film::FilmProfile& film,
                                         std::span<const PossibleMetering> meterings,
                                         ExposureAboveSpeedPoint aim);

/// The 95 % interval about the possible values of a number. An end that is open (at_least: the
/// upper, at_most: the lower) is left out and the other becomes a 95 % bound.
StopsEstimate interval(double value, std::span<const double> possible,
                       std::span<const PossibleMetering> meterings, const Swing& total,
                       bool at_least, bool at_most);

}  // namespace basefog::reading
