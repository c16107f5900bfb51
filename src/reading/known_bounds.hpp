// SPDX-License-Identifier: GPL-3.0-or-later
#pragma once

#include <algorithm>

#include "reading/error_budget.hpp"
#include "reading/hidden_light.hpp"

namespace basefog::reading {

// Which of a frame's numbers are only known from one side: "at least", "at most".
//
// Formula. Swings as in error_budget.hpp, hidden light as in hidden_light.hpp, all in stops:
//
//   exposure   at least: what is beyond the range or on clear film raises it by over 0.5, or
//              in_mean > 2.5 %; at most: it lowers it by over 1, so half of it may be missing
//   reserve    (shadow) at most: under -1, or its lower end within 0.02 of clear film; at least:
//              at the end of the range
//   reach      (highlight) at least: more than 2 % of the apertures beyond the range, in_reach
//              over 2.5 %, or its upper end at the end of the range; at most: on clear film
//   room       (highlight) at most where the reach is at least; at least where the reach is at
//              most, or where neither shoulder nor scan ends the range
//   correction the best change is found anew with all apertures on clear film 0, 0.5, 1, 2, 4 and
//              8 stops darker, with all beyond the range so much brighter, and with a mean two
//              stops up. At least: darker shadows raise it by over 0.25. At most: brighter lights
//              lower it by over 0.25, or the raised mean does where the exposure is at least.
//              Both: neither, as the range of possible corrections is finite.
//
// Why 2.5 %: a two-sided 95 % interval may leave out so much above, so a chance of that size does
// not open it. With a base that is clipped every density is a lower bound: exposure, reserve, reach
// at least, room and correction at most.
//
// Assumes. A scene seldom exceeds 14 stops, so what is unseen lies within 8 of its bound
// (judgement). The thresholds 0.5, 1, 0.25 and 0.02 stop are judgement.
//
// Costs. The frame's numbers at most 15 times anew, each with a sort of the apertures.
//
// Accurate. FrameReading.shadows_on_clear_film_are_only_bounded,
// FrameReading.correction_that_rests_on_clear_film_is_at_least,
// FrameReading.highlights_beyond_the_scan_are_only_bounded,
// FrameReading.clipped_base_makes_exposures_lower_bounds.
//
// Fails. Towards caution: an end may be left open that better knowledge of the film would close.
//
// Source. Ours (judgement).

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
                                         std::span<const PossibleMetering> meterings,
                                         ExposureAboveSpeedPoint aim);

/// Bounds of all five numbers.
EnumArray<Quantity, Bound> known_bounds(const FilmExposures& exposures, const FrameNumbers& nominal,
                                        const EnumArray<Quantity, Swings>& swings,
                                        const PossibleCorrections& corrections,
                                        const HiddenLight& hidden, bool base_clipped);

/// Keeps a shadow reserve that is "at most" from being claimed below what film shows: a stop below
/// the speed point.
void hold_at_clear_film(Estimate<ExposureAboveSpeedPoint>& shadow_reserve);

}  // namespace basefog::reading
