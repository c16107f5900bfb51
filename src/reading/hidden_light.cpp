// SPDX-License-Identifier: GPL-3.0-or-later
#include "reading/hidden_light.hpp"

#include <algorithm>
#include <cmath>
#include <numbers>

#include "reading/frame_numbers.hpp"

namespace basefog::reading {
namespace {

/// A rise of the mean that makes the exposure a bound: half a stop, from
/// which on a frame is no longer well exposed.
constexpr double kRise = std::numbers::sqrt2;

/// By which factor saturated light is brighter than its bound: the factor that a share of such
/// places exceeds. Luminances of sky, windows and lamps fall off about as a power law of exponent
/// -1; small places are often the sun or its reflections, one in twenty of them more than 8.6 stops
/// brighter than the bound. Small is half a percent of the frame: a lamp or the sun, no window and
/// no sky (judgement, as are the laws).
constexpr double kSmall = 0.005;
double exceeded_by(double share, double area) {
  return area < kSmall ? 1 / (share * share) : 1 / share;
}
/// The share of such places that exceed a factor.
double share_exceeding(double factor, double area) {
  if (factor <= 1) return 1;
  return area < kSmall ? 1 / std::sqrt(factor) : 1 / factor;
}

/// What saturated light may do to the metered mean.
struct PossibleRise {
  double chance = 0;       ///< of more than half a stop
  double mean_square = 0;  ///< stops squared
};

PossibleRise possible_rise(const FilmExposures& exposures,
                           std::span<const PossibleMetering> meterings) {
  double beyond = 0;
  double all = 0;
  for (const PossibleMetering& metering : meterings) {
    for (std::size_t i = 0; i < exposures.exposure.size(); ++i) {
      const double weight = metering.probability * metering.weight[i];
      beyond += weight * exposures.beyond[i];
      all += weight * std::exp2(exposures.above_speed[i]);
    }
  }
  if (beyond <= 0) return {};
  PossibleRise rise;
  rise.chance = share_exceeding(1 + (kRise - 1) * all / beyond, exposures.beyond_area);
  constexpr int kSteps = 32;  // of equal chance; the brightest is six stops above its bound
  for (int i = 0; i < kSteps; ++i) {
    const double factor = exceeded_by((i + 0.5) / kSteps, exposures.beyond_area);
    rise.mean_square += std::pow(std::log2(1 + beyond / all * (factor - 1)), 2) / kSteps;
  }
  return rise;
}

/// The most stops above the speed point over which contrast counts, where a curve has no end.
constexpr double kFarthestLimit = 12;

/// Where the film may saturate is as uncertain as its shoulder, and as the contrast on the way
/// there: both move the density at which it does. In stops, one sigma.
double place_sigma(const film::FilmProfile& film, const FilmExposures& as_read) {
  return std::hypot(
      film.shoulder_sigma_stops,
      film.contrast_relative_sigma * std::min(as_read.highlight_limit, kFarthestLimit));
}

bool reaches_end(const NetDensities& densities, const film::FilmProfile& film,
                 const AssumedErrors& errors) {
  return std::ranges::any_of(densities.layers, [&](const LayerDensities& layer) {
    const InverseCurve inverse(film.layers[layer.layer].curve, film, errors);
    return std::ranges::max(layer.parts) >= inverse.highest_density() ||
           std::ranges::count(layer.beyond, 1) > 0;
  });
}

}  // namespace

HiddenLight hidden_light(const NetDensities& densities, const film::FilmProfile& film,
                         std::span<const PossibleMetering> meterings,
                         const FilmExposures& as_read) {
  // A normal distribution in steps of half a sigma, to three sigmas below, where most is hidden,
  // and two above: a film that saturates later than thought hides less.
  constexpr double kStep = 0.5;
  constexpr int kFirst = -6;
  constexpr int kLast = 4;
  const double sigmas =
      place_sigma(film, as_read) / std::max(film.shoulder_sigma_stops, 1e-3);  // of the shoulder
  HiddenLight sum;
  double mean_square = 0;
  double possible = 0;
  for (int i = kFirst; i <= kLast; ++i) {
    const double z = i * kStep;
    const double weight = std::exp(-z * z / 2);
    AssumedErrors errors;
    errors.shoulder = z * sigmas;
    if (reaches_end(densities, film, errors)) {
      const FilmExposures exposures = film_exposures(densities, film, errors);
      if (z < 0 && exposures.too_dense) continue;
      const PossibleRise rise = possible_rise(exposures, meterings);
      sum.in_mean += weight * rise.chance;
      mean_square += weight * rise.mean_square;
      const auto saturated = static_cast<double>(std::ranges::count(exposures.least, 1));
      const auto all = static_cast<double>(exposures.least.size());
      if (saturated > (1 - kHighlightPercentile) * all) sum.in_reach += weight;
    }
    possible += weight;
  }
  return {sum.in_mean / possible, sum.in_reach / possible, std::sqrt(mean_square / possible)};
}

}  // namespace basefog::reading
