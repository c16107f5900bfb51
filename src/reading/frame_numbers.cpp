// SPDX-License-Identifier: GPL-3.0-or-later
#include "reading/frame_numbers.hpp"

#include <algorithm>
#include <cmath>

#include "numeric/quantile.hpp"
#include "reading/correction.hpp"

namespace basefog::reading {

ExposureAboveSpeedPoint metered_mean(const FilmExposures& exposures,
                                     const PossibleMetering& metering) {
  double mean = 0;
  for (std::size_t i = 0; i < metering.weight.size(); ++i) {
    mean += metering.weight[i] * exposures.exposure[i];
  }
  // A frame wholly on clear film has no least exposure; far below any that is read stands for none.
  constexpr double kNothing = 1e-6;
  return ExposureAboveSpeedPoint(std::log2(std::max(mean, kNothing)));
}

std::vector<double> sorted_stops(const FilmExposures& exposures) {
  std::vector<double> sorted = exposures.above_speed;
  std::sort(sorted.begin(), sorted.end());
  return sorted;
}

FrameNumbers frame_numbers(const FilmExposures& exposures,
                           std::span<const PossibleMetering> meterings,
                           ExposureAboveSpeedPoint aim) {
  const std::vector<double> sorted = sorted_stops(exposures);
  FrameNumbers numbers;
  numbers[Quantity::shadow_reserve] = numeric::sorted_quantile(sorted, kShadowPercentile);
  numbers[Quantity::highlight_reach] = numeric::sorted_quantile(sorted, kHighlightPercentile);
  numbers[Quantity::highlight_room] =
      exposures.highlight_limit - numbers[Quantity::highlight_reach];
  for (const PossibleMetering& metering : meterings) {
    const ExposureFromAim exposure = from_aim(metered_mean(exposures, metering), aim);
    numbers.exposure.push_back(exposure.value());
    numbers[Quantity::exposure] += metering.probability * exposure.value();
    numbers.correction.push_back(
        best_correction(sorted, exposures.highlight_limit, exposure).stops);
  }
  numbers[Quantity::correction] = best_correction(sorted, exposures.highlight_limit,
                                                  ExposureFromAim(numbers[Quantity::exposure]))
                                      .stops;
  return numbers;
}

}  // namespace basefog::reading
