// SPDX-License-Identifier: GPL-3.0-or-later
#pragma once

#include <span>
#include <vector>

#include "basefog/reading/frame_reading.hpp"
#include "reading/film_exposures.hpp"
#include "reading/metering.hpp"

namespace basefog::reading {

enum class Quantity { exposure, shadow_reserve, highlight_reach, highlight_room, correction };
constexpr Quantity last_of(Quantity) { return Quantity::correction; }

/// The numbers of a frame as they follow from one set of assumptions, in stops.
struct FrameNumbers {
  EnumArray<Quantity, double> value;  ///< expected over the possible meterings
  std::vector<double> exposure;       ///< against the aim, one per possible metering
  std::vector<double> correction;     ///< one per possible metering

  double operator[](Quantity q) const { return value[q]; }
  double& operator[](Quantity q) { return value[q]; }
};

/// Shares of a frame that the percentiles of the answers leave below and above.
inline constexpr double kShadowPercentile = 0.02;
inline constexpr double kHighlightPercentile = 0.98;

/// aim: stops of the aim above the film's speed point.
FrameNumbers frame_numbers(const FilmExposures& exposures,
                           std::span<const PossibleMetering> meterings, double aim);

/// log2 of the metered mean exposure, above the speed point.
double metered_mean(const FilmExposures& exposures, const PossibleMetering& metering);

/// The exposures of the frame in rising order, stops above the speed point.
std::vector<double> sorted_stops(const FilmExposures& exposures);

}  // namespace basefog::reading
