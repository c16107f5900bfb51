// SPDX-License-Identifier: GPL-3.0-or-later
#include "reading/known_bounds.hpp"

#include <algorithm>
#include <cmath>

#include "reading/correction.hpp"

namespace basefog::reading {
namespace {

/// A rise of the mean by what is beyond the range, stops, from which only a bound is claimed: from
/// there on a frame is no longer well exposed. Downwards, where clear film hides shadows that a
/// mean hardly feels, a stop (judgement).
constexpr double kOnlyABound = 0.5;
constexpr double kOnlyABoundBelow = 1.0;
/// A chance that an interval of 95 % may leave out above: from more on, the end is open.
constexpr double kBelieved = 0.025;
/// Shadow reserves below this are on clear film: net density fades into base about a stop below the
/// speed point.
constexpr double kClearFilm = -1.0;
/// A correction rests on what cannot be seen where that could move it by more than this, stops:
/// half of what counts as well exposed (judgement).
constexpr double kRestsOn = 0.25;

double share_of(const std::vector<std::uint8_t>& marked) {
  return static_cast<double>(std::count(marked.begin(), marked.end(), 1)) /
         static_cast<double>(marked.size());
}

/// The frame as it would be with all that is marked moved by some stops.
FilmExposures moved(const FilmExposures& exposures, const std::vector<std::uint8_t>& marked,
                    double stops) {
  FilmExposures result = exposures;
  for (std::size_t i = 0; i < marked.size(); ++i) {
    if (marked[i] == 0) continue;
    result.above_speed[i] += stops;
    result.exposure[i] = std::exp2(result.above_speed[i]);
  }
  return result;
}

}  // namespace

void hold_at_clear_film(Estimate<ExposureAboveSpeedPoint>& shadow_reserve) {
  if (shadow_reserve.low || !shadow_reserve.high) return;
  const ExposureAboveSpeedPoint clear_film(kClearFilm);
  shadow_reserve.value = std::max(shadow_reserve.value, clear_film);
  shadow_reserve.high = std::max(*shadow_reserve.high, clear_film);
}

PossibleCorrections possible_corrections(const FilmExposures& exposures,
                                         std::span<const PossibleMetering> meterings,
                                         ExposureAboveSpeedPoint aim) {
  // Stops: a scene seldom exceeds 14, so what is unseen lies at most about 8 off its bound.
  constexpr std::array<double, 6> kMoves = {0, 0.5, 1, 2, 4, 8};
  const auto best = [&](const FilmExposures& possible) {
    return frame_numbers(possible, meterings, aim)[Quantity::correction];
  };
  const auto range = [&](const std::vector<std::uint8_t>& unseen, double direction) {
    const double as_read = best(exposures);
    CorrectionRange found{as_read, as_read};
    if (share_of(unseen) == 0) return found;
    for (double move : kMoves) {
      const double c = best(moved(exposures, unseen, direction * move));
      found.low = std::min(found.low, c);
      found.high = std::max(found.high, c);
    }
    return found;
  };
  // A mean that hides light is tried two stops brighter: what a lamp in the frame may add
  // (judgement).
  constexpr double kBrighter = 2;
  double from_aim = 0;
  for (const PossibleMetering& metering : meterings) {
    from_aim += metering.probability * (metered_mean(exposures, metering) - aim).value();
  }
  const double brighter = best_correction(sorted_stops(exposures), exposures.highlight_limit,
                                          ExposureFromAim(from_aim + kBrighter))
                              .stops;
  return {range(exposures.most, -1), range(exposures.least, 1), brighter};
}

EnumArray<Quantity, Bound> known_bounds(const FilmExposures& exposures, const FrameNumbers& nominal,
                                        const EnumArray<Quantity, Swings>& swings,
                                        const PossibleCorrections& corrections,
                                        const HiddenLight& hidden, bool base_clipped) {
  EnumArray<Quantity, Bound> bounds;

  bounds[Quantity::exposure] = {
      swings[Quantity::exposure][ErrorCause::clipping].up > kOnlyABound ||
          hidden.in_mean > kBelieved,
      swings[Quantity::exposure][ErrorCause::clipping].down > kOnlyABoundBelow};

  // An interval that reaches the end of the readable range has no end there.
  constexpr double kNear = 0.02;  // stops; less than any answer shows
  const double shadow = nominal[Quantity::shadow_reserve];
  bounds[Quantity::shadow_reserve] = {
      shadow >= exposures.highest - kNear,
      shadow <= kClearFilm ||
          shadow - total(swings[Quantity::shadow_reserve]).down <= exposures.lowest + kNear};

  const double reach = nominal[Quantity::highlight_reach];
  bounds[Quantity::highlight_reach] = {
      share_of(exposures.least) > 1 - kHighlightPercentile || hidden.in_reach > kBelieved ||
          reach + total(swings[Quantity::highlight_reach]).up >= exposures.highest - kNear,
      reach <= exposures.lowest + kNear};
  bounds[Quantity::highlight_room] = {
      bounds[Quantity::highlight_reach].at_most || !exposures.limit_seen,
      bounds[Quantity::highlight_reach].at_least};

  const double c = nominal[Quantity::correction];
  const bool more = corrections.clear_film.high > c + kRestsOn;
  const bool less =
      corrections.beyond.low < c - kRestsOn ||
      (bounds[Quantity::exposure].at_least && corrections.brighter_mean < c - kRestsOn);
  bounds[Quantity::correction] = {more && !less, less && !more};

  if (base_clipped) {
    for (Quantity q : {Quantity::exposure, Quantity::shadow_reserve, Quantity::highlight_reach}) {
      bounds[q].at_least = true;
    }
    bounds[Quantity::highlight_room].at_most = true;
    bounds[Quantity::correction].at_most = true;
  }
  return bounds;
}

}  // namespace basefog::reading
