// SPDX-License-Identifier: GPL-3.0-or-later
#pragma once

#include <algorithm>

#include "reading/error_budget.hpp"
#include "reading/hidden_light.hpp"

namespace basefog::reading {

/// Where the film or the scan shows only a bound of a number.
struct Bound {
  bool at_least = false;  ///< the true number may be anything above
  bool at_most = false;   ///< the true number may be anything below
};

/// The corrections that would be best for other exposures that the film and the scan allow.
struct CorrectionRange {
  double low = 0;
  double high = 0;
};
struct PossibleCorrections {
  CorrectionRange clear_film;  ///< what is on clear film may have got any less light
  CorrectionRange beyond;      ///< what is beyond the range may have got any more
  double brighter_mean = 0;    ///< the best where hidden light makes the mean two stops more
  double low() const { return std::min(clear_film.low, beyond.low); }
  double high() const { return std::max(clear_film.high, beyond.high); }
};
PossibleCorrections possible_corrections(const FilmExposures& exposures,
                                         std::span<const PossibleMetering> meterings, double aim);

/// Bounds of all five numbers:
/// - exposure: at least where what is beyond the range could raise it by more than half a stop with
///   a chance of more than 2.5 % (`hidden`); at most where half of it is thought to come from clear
///   film;
/// - shadow reserve: at most where the percentile is a stop or more below the speed point or on
///   clear film; at least where it is beyond the range;
/// - highlight reach and room: at least, at most where the percentile is beyond the range or
///   may be; room also at least where the film's shoulder has not been seen;
/// - correction: at least where it rests on clear film, at most where it rests on what is beyond
///   the range, or on a mean that may be far higher. Where it rests on both, neither: the range of
///   possible corrections is finite;
/// - with a clipped base every density is a lower bound, and so is every exposure.
EnumArray<Quantity, Bound> known_bounds(const FilmExposures& exposures, const FrameNumbers& nominal,
                                        const EnumArray<Quantity, Swings>& swings,
                                        const PossibleCorrections& corrections,
                                        const HiddenLight& hidden, bool base_clipped);

/// A shadow reserve that is only known to be at most something is never claimed to be below what
/// the film can tell: a stop below the speed point.
void hold_at_clear_film(StopsEstimate& shadow_reserve);

}  // namespace basefog::reading
