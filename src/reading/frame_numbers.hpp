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

/// The numbers of a frame as they follow from one set of assumptions, in stops from the zero that
/// each has in FrameReading.
struct FrameNumbers {
  EnumArray<Quantity, double> value;  ///< expected over the possible meterings
  std::vector<double> exposure;       ///< from the aim, one per possible metering
  std::vector<double> correction;     ///< one per possible metering

  double operator[](Quantity q) const { return value[q]; }
  double& operator[](Quantity q) { return value[q]; }
};

/// Shares of a frame that the percentiles of the answers leave below and above.
inline constexpr double kShadowPercentile = 0.02;
inline constexpr double kHighlightPercentile = 0.98;

/// aim: where it lies on the film.
FrameNumbers frame_numbers(const FilmExposures& exposures,
                           std::span<const PossibleMetering> meterings,
                           ExposureAboveSpeedPoint aim);

/// The metered mean exposure.
ExposureAboveSpeedPoint metered_mean(const FilmExposures& exposures,
                                     const PossibleMetering& metering);

/// The exposures of the frame in rising order, stops above the speed point.
std::vector<double> sorted_stops(const FilmExposures& exposures);

}  // namespace basefog::reading
