// SPDX-License-Identifier: GPL-3.0-or-later
#pragma once

#include <span>

#include "reading/film_exposures.hpp"
#include "reading/metering.hpp"

namespace basefog::reading {

// How much light may lie beyond the densest place that film or scan shows, and what it does.
//
// Formula. Apertures at the end of the range are known to have got at least their exposure. The
// true one is F times that, F drawn from a power law:
//
//   chance that F exceeds f = 1 / f            sky, windows, lamps
//                           = 1 / sqrt(f)      all of it under 0.5 % of the frame: often the sun
//
// With b the part of the metered mean at its bound that comes from such places and m that whole
// mean (both from exposures, not stops), the mean rises by log2(1 + (F - 1) b / m) stops. That is
// more than half a stop where F > 1 + (sqrt(2) - 1) m / b. Where the film saturates is not known:
// its shoulder is moved by z S, with
//
//   S = hypot(shoulder's sigma, contrast's relative sigma x min(highlight limit, 12))    stops
//   z = -3, -2.5, ... 2, each with weight exp(-z^2 / 2)
//
// Shoulders nearer than thought under which the film could not make the densities that it shows are
// left out. Over the rest, by weight: in_mean is the mean chance of half a stop and more, in_reach
// the chance that more than 2 % of the apertures are at the end, rise the root mean square rise (F
// at the middles of 32 equal chances).
//
// Assumes. One F for all such places of a frame; the law's exponents, 0.5 % and the 12 stops are
// judgement. The correction of a frame with hidden light is known_bounds' business.
//
// Costs. Up to 11 readings of the frame (error_budget.hpp), fewer where its densities do not reach
// the end.
//
// Accurate. Lamps that saturate leave the exposure open above
// (FrameReading.saturated_lamp_makes_the_mean_a_lower_bound); small bright places below the
// shoulder do not (FrameReading.small_speculars_leave_both_ends). Frames with sun or lamps: the
// table of scripts/validate has a row of its own.
//
// Fails. With a base that is clipped too, or light that is no power law (a single lamp far
// brighter), the rise is a guess. It is never added to an exposure: it opens the upper end, and
// counts as a sigma in the budget and for the meter's bias. Nothing beyond the range: all zero.
//
// Source. Ours, judged on panoramas (judgement).

/// What light the film, or the scan, hides.
struct HiddenLight {
  double in_mean = 0;   ///< chance that it raises the metered mean by more than half a stop
  double in_reach = 0;  ///< chance that there is some at the 98th percentile
  double rise = 0;      ///< of the metered mean, root mean square over all chances, stops
};

/// as_read: the frame's exposures with no errors assumed.
HiddenLight hidden_light(const NetDensities& densities, const film::FilmProfile& film,
                         std::span<const PossibleMetering> meterings, const FilmExposures& as_read);

}  // namespace basefog::reading
