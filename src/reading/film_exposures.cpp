// SPDX-License-Identifier: GPL-3.0-or-later
#include "reading/film_exposures.hpp"

#include <algorithm>
#include <cmath>
#include <limits>
#include <numbers>

#include "basefog/core/film_facts.hpp"
#include "numeric/quantile.hpp"

namespace basefog::reading {
namespace {

constexpr double kCurveStep = 1.0 / 32;  ///< stops between samples of the curve
constexpr double kLostInBase = 0.004;    ///< net density, about what base + fog is known to
constexpr double kDeepestToe = 3;        ///< stops that the table goes on below the curve's lowest,
                                         ///< where an eighth of the light is left (judgement)
constexpr double kDensityStep = 1.0 / 1024;  ///< between entries of the inverse table

/// What lies beyond the film's or the scan's range holds lamps, sun and their reflections, whose
/// luminances fall off about as a power law of exponent -1: half of them are within a stop of the
/// bound, one in forty is 5.3 stops above it.
double stops_beyond(double error) { return -std::log2(1 - numeric::normal_cdf(error)); }

/// Contrast factors and toe lengthenings stay where a curve is a curve.

/// Least factors of contrast, and of the upper gradient, that an error of two sigma may make: no
/// film is developed so soft (judgement); only profiles that say they know nothing come near.
constexpr double kSoftest = 0.3;
constexpr double kSoftestAbove = 0.5;

double contrast_factor(const film::FilmProfile& film, double error) {
  return std::max(kSoftest, 1 + error * film.contrast_relative_sigma);
}

film::CharacteristicCurve curve_with(const film::CharacteristicCurve& nominal,
                                     const film::FilmProfile& film, const AssumedErrors& errors) {
  film::CharacteristicCurve curve = nominal;
  if (errors.contrast != 0) curve = curve.with_contrast(contrast_factor(film, errors.contrast));
  if (errors.toe != 0) {
    curve = curve.with_toe(std::clamp(errors.toe * film.toe_sigma_stops,
                                      film_facts::kShortestToeTried, film_facts::kLongestToeTried));
  }
  if (errors.shoulder != 0) {
    curve = curve.with_shoulder(Stops(errors.shoulder * film.shoulder_sigma_stops));
  }
  return curve;
}

/// What noise of density does to an exposure read through a bent curve.
struct NoiseEffect {
  double gain = 1;   ///< factor that takes the bias of noise off the exposure
  double sigma = 0;  ///< of the exposure
};

/// Noise of the parts raises their mean exposure; the mean of the exposures at density ± part_sigma
/// is above that at density by as much.
NoiseEffect noise_effect(const InverseCurve& inverse, double density, double sigma,
                         double part_sigma) {
  if (sigma < 1e-5) return {};
  const double middle = inverse.exposure(density);
  const double around =
      (inverse.exposure(density + part_sigma) + inverse.exposure(density - part_sigma)) / 2;
  const double slope = (inverse.exposure(density + sigma) - inverse.exposure(density - sigma)) / 2;
  // Beyond these the noise is no small one and the first correction no longer holds (judgement).
  constexpr double kLeastGain = 0.5;
  constexpr double kMostGain = 2.0;
  return {std::clamp(2 - around / middle, kLeastGain, kMostGain), slope};
}

/// Sums over the parts of one aperture.
struct PartSums {
  double bound = 0;   ///< exposures as read, at their bound where beyond the range
  double inside = 0;  ///< of it, from within the range of film and scan
  double beyond = 0;  ///< of it, from beyond
  int beyond_parts = 0;
  double on_base = 0;  ///< what is on clear film, at the most that it may be
};

/// Adds one layer to the exposures of all apertures; `least` and `most` gather the exposure that is
/// only bounded, above_speed what is read, whose logarithm film_exposures takes.
void add_layer(FilmExposures& result, std::vector<double>& least, std::vector<double>& most,
               const NetDensities& densities, const LayerDensities& layer, double weight,
               const InverseCurve& inverse, const AssumedErrors& errors) {
  const double shift = -errors.base * layer.base_sigma;
  const double stretch = 1 + errors.response * densities.response_sigma;
  const double beyond_gain = std::exp2(stops_beyond(errors.highlights));
  const double on_base_gain = numeric::normal_cdf(errors.clear_film);
  const int parts = densities.parts_per_aperture;
  const double share = weight / parts;
  for (std::size_t i = 0; i < result.above_speed.size(); ++i) {
    PartSums sums;
    for (std::size_t p = i * parts; p < (i + 1) * parts; ++p) {
      const double d = (layer.parts[p] + shift) * stretch;
      const double exposure = inverse.exposure(d);
      sums.bound += exposure;
      if (d <= inverse.clear_film_density()) {
        sums.on_base += inverse.clear_film_exposure();
      } else if (layer.beyond[i] != 0 || d >= inverse.highest_density()) {
        sums.beyond += exposure;
        ++sums.beyond_parts;
      } else {
        sums.inside += exposure;
      }
    }
    const NoiseEffect noise = noise_effect(inverse, (layer.density[i] + shift) * stretch,
                                           layer.sigma[i], layer.sigma[i] * std::sqrt(parts));
    result.above_speed[i] += share * sums.bound;
    result.exposure[i] += share * (sums.inside * noise.gain + sums.beyond * beyond_gain +
                                   sums.on_base * on_base_gain);
    result.sigma[i] += weight * weight * noise.sigma * noise.sigma;
    least[i] += share * sums.beyond;
    most[i] += share * sums.on_base;
    result.beyond[i] += share * sums.beyond;
    result.beyond_area +=
        share * sums.beyond_parts / static_cast<double>(result.above_speed.size());
  }
}

/// Takes in one more layer: the first layer to reach an end sets it.
void find_limits(FilmExposures& result, const InverseCurve& inverse,
                 const film::CharacteristicCurve& nominal, double end_of_scan) {
  const double limit = std::min(inverse.highlight_limit(), end_of_scan);
  if (limit < result.highlight_limit) {
    result.highlight_limit = limit;
    result.limit_seen = nominal.shoulder_seen() || end_of_scan < inverse.highlight_limit();
  }
  result.lowest = std::max(result.lowest, inverse.lowest());
  result.highest = std::min({result.highest, inverse.highest(), end_of_scan});
}

}  // namespace

InverseCurve::InverseCurve(const film::CharacteristicCurve& nominal, const film::FilmProfile& film,
                           const AssumedErrors& errors) {
  const film::CharacteristicCurve curve = curve_with(nominal, film, errors);
  double lowest = curve.lowest().value();
  clear_film_density_ = curve.density(curve.lowest()).value();
  clear_film_exposure_ = curve.lowest().ratio();
  while (lowest > curve.lowest().value() - kDeepestToe &&
         curve.density(Stops(lowest)).value() > kLostInBase) {
    lowest -= kCurveStep;
  }
  // A softer upper part spreads the same densities over more exposure.
  const double triangle = Stops::from_log10(film_facts::kIsoTriangleLogH).value();
  const double stretch =
      std::max(kSoftestAbove, 1 + errors.upper_gradient * film.upper_gradient_sigma);
  const auto stretched = [&](double stops) {
    return stops > triangle ? triangle + (stops - triangle) * stretch : stops;
  };
  const double highest = curve.highest().value();
  highlight_limit_ = stretched(curve.highlight_limit().value());
  lowest_density_ = curve.density(Stops(lowest)).value();
  top_density_ = curve.points().back().density.value();
  highest_density_ = curve.density(curve.highest()).value();
  const int entries = std::max(
      2, 1 + static_cast<int>(std::ceil((highest_density_ - lowest_density_) / kDensityStep)));
  per_density_ = (entries - 1) / (highest_density_ - lowest_density_);
  above_speed_.reserve(static_cast<std::size_t>(entries));
  double x0 = lowest;
  double d0 = lowest_density_;
  double x1 = x0;
  double d1 = d0;
  for (int i = 0; i < entries; ++i) {
    const double wanted = lowest_density_ + i / per_density_;
    while (d1 < wanted && x1 < highest) {
      x0 = x1;
      d0 = d1;
      x1 = std::min(x1 + kCurveStep, highest);
      d1 = curve.density(Stops(x1)).value();
    }
    const double part = d1 > d0 ? std::clamp((wanted - d0) / (d1 - d0), 0.0, 1.0) : 0;
    above_speed_.push_back(stretched(x0 + part * (x1 - x0)));
    exposure_.push_back(std::exp2(above_speed_.back()));
  }
}

double InverseCurve::look_up(const std::vector<double>& table, double net_density) const {
  const double place = (net_density - lowest_density_) * per_density_;
  if (!(place > 0)) return table.front();
  if (!(place < static_cast<double>(table.size() - 1))) return table.back();
  const auto below = static_cast<std::size_t>(place);
  return table[below] + (place - static_cast<double>(below)) * (table[below + 1] - table[below]);
}

FilmExposures film_exposures(const NetDensities& densities, const film::FilmProfile& film,
                             const AssumedErrors& errors) {
  const std::size_t count = densities.apertures();
  FilmExposures result;
  result.above_speed.assign(count, 0.0);
  result.exposure.assign(count, 0.0);
  result.sigma.assign(count, 0.0);
  result.beyond.assign(count, 0.0);
  result.highlight_limit = result.highest = std::numeric_limits<double>::infinity();
  result.lowest = -result.highest;
  std::vector<double> least(count, 0.0);
  std::vector<double> most(count, 0.0);
  double weights = 0;
  for (const LayerDensities& layer : densities.layers) weights += layer.weight;
  for (const LayerDensities& layer : densities.layers) {
    const film::CharacteristicCurve& curve = film.layers[layer.layer].curve;
    const InverseCurve inverse(curve, film, errors);
    const double densest = (layer.densest - errors.base * layer.base_sigma) *
                           (1 + errors.response * densities.response_sigma);
    find_limits(result, inverse, curve, inverse.above_speed(densest));
    add_layer(result, least, most, densities, layer, layer.weight / weights, inverse, errors);
    // More than contrast and base that are off can explain (judgement).
    constexpr double kTooDense = 1.1;
    result.too_dense =
        result.too_dense || std::ranges::max(layer.density) > kTooDense * inverse.top_density();
  }
  constexpr double kMostOfTheLight = 0.5;  // of an aperture that makes it a bound as a whole
  constexpr double kHair = 1e-6;           // puts what is beyond the range above its end
  for (std::size_t i = 0; i < count; ++i) {
    result.least.push_back(least[i] > kMostOfTheLight * result.above_speed[i] ? 1 : 0);
    result.most.push_back(most[i] > kMostOfTheLight * result.above_speed[i] ? 1 : 0);
    result.sigma[i] = std::sqrt(result.sigma[i]) / (result.above_speed[i] * std::numbers::ln2);
    result.above_speed[i] = std::log2(result.above_speed[i]) + (result.least[i] != 0 ? kHair : 0);
  }
  return result;
}

}  // namespace basefog::reading
