// SPDX-License-Identifier: GPL-3.0-or-later
#include "roll/hidden_light.hpp"

#include <array>
#include <cmath>

namespace basefog {
namespace {

constexpr double kRise = 1.41421356;  ///< of the mean, half a stop

/// Chance that saturated light is brighter than it looks by more than a factor. Luminances of sky,
/// windows and lamps fall off about as a power law of exponent -1; small places are often the sun
/// or its reflections, one in twenty of them more than 9 stops brighter than the bound.
double chance_of_gain(double factor, double area) {
  constexpr double kSmall = 0.005;  // of the frame
  if (factor <= 1) return 1;
  return area < kSmall ? 1 / std::sqrt(factor) : 1 / factor;
}

double chance(const FilmExposures& exposures, std::span<const PossibleMetering> meterings) {
  double beyond = 0;
  double all = 0;
  for (const PossibleMetering& metering : meterings) {
    for (std::size_t i = 0; i < exposures.exposure.size(); ++i) {
      const double weight = metering.probability * metering.weight[i];
      beyond += weight * exposures.beyond[i];
      all += weight * std::exp2(exposures.stops[i]);
    }
  }
  if (beyond <= 0) return 0;
  return chance_of_gain(1 + (kRise - 1) * all / beyond, exposures.beyond_area);
}

}  // namespace

double chance_of_hidden_light(const NetDensities& densities, const FilmProfile& film,
                              std::span<const PossibleMetering> meterings,
                              const FilmExposures& as_read) {
  struct Place {
    double sigmas;  ///< of the shoulder, from where it is thought to be
    double chance;
  };
  // A normal distribution in steps of one sigma.
  constexpr std::array<Place, 5> kPlaces = {
      {{-2, 0.061}, {-1, 0.242}, {0, 0.394}, {1, 0.242}, {2, 0.061}}};
  double sum = 0;
  double possible = 0;
  for (const Place& place : kPlaces) {
    AssumedErrors errors;
    errors.shoulder = place.sigmas;
    const FilmExposures exposures =
        place.sigmas == 0 ? as_read : film_exposures(densities, film, errors);
    if (place.sigmas < 0 && exposures.too_dense) continue;
    possible += place.chance;
    sum += place.chance * chance(exposures, meterings);
  }
  return sum / possible;
}

}  // namespace basefog
