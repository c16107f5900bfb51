// SPDX-License-Identifier: GPL-3.0-or-later
#include "roll/film_exposures.hpp"

#include <algorithm>
#include <cmath>
#include <limits>
#include <numbers>

#include "numeric/quantile.hpp"

namespace basefog {
namespace {

constexpr double kCurveStep = 1.0 / 32;      ///< stops between samples of the curve
constexpr double kDensityStep = 1.0 / 1024;  ///< between entries of the inverse table

/// What lies beyond the film's or the scan's range holds lamps, sun and their reflections, whose
/// luminances fall off about as a power law of exponent -1: half of them are within a stop of the
/// bound, one in forty is 5.3 stops above it.
double stops_beyond(double error) { return -std::log2(1 - normal_cdf(error)); }

/// Contrast factors and toe lengthenings stay where a curve is a curve.
constexpr double kShortestToe = -0.55;
constexpr double kLongestToe = 1.9;

double contrast_factor(const FilmProfile& film, double error) {
  return std::max(0.3, 1 + error * film.contrast_relative_sigma);
}

CharacteristicCurve curve_with(const CharacteristicCurve& nominal, const FilmProfile& film,
                               const AssumedErrors& errors) {
  CharacteristicCurve curve = nominal;
  if (errors.contrast != 0) curve = curve.with_contrast(contrast_factor(film, errors.contrast));
  if (errors.toe != 0) {
    curve =
        curve.with_toe(std::clamp(errors.toe * film.toe_sigma_stops, kShortestToe, kLongestToe));
  }
  if (errors.shoulder != 0) {
    curve = curve.with_shoulder(Stops(errors.shoulder * film.shoulder_sigma_stops));
  }
  return curve;
}

/// An aperture's exposure from a noisy density.
struct NoisyExposure {
  double exposure;  ///< without the bias of noise
  double sigma;     ///< in exposure
};

/// A bent inverse turns noise into bias: the mean over density ± sigma is above the middle by as
/// much as the reading is too high.
NoisyExposure noisy_exposure(const InverseCurve& inverse, double density, double sigma) {
  const double middle = std::exp2(inverse.stops(density));
  if (sigma < 1e-5) return {middle, 0};
  const double above = std::exp2(inverse.stops(density + sigma));
  const double below = std::exp2(inverse.stops(density - sigma));
  return {std::max(0.0, 2 * middle - (above + below) / 2), (above - below) / 2};
}

/// Takes in one more layer: the first layer to reach an end sets it.
void find_limits(FilmExposures& result, const InverseCurve& inverse,
                 const CharacteristicCurve& nominal, double end_of_scan) {
  const double limit = std::min(inverse.highlight_limit(), end_of_scan);
  if (limit < result.highlight_limit) {
    result.highlight_limit = limit;
    result.limit_seen = nominal.shoulder_seen() || end_of_scan < inverse.highlight_limit();
  }
  result.lowest = std::max(result.lowest, inverse.lowest());
  result.highest = std::min({result.highest, inverse.highest(), end_of_scan});
}

}  // namespace

InverseCurve::InverseCurve(const CharacteristicCurve& nominal, const FilmProfile& film,
                           const AssumedErrors& errors) {
  const CharacteristicCurve curve = curve_with(nominal, film, errors);
  const double lowest = curve.lowest().value();
  const double highest = curve.highest().value();
  highlight_limit_ = curve.highlight_limit().value();
  lowest_density_ = curve.density(curve.lowest()).value();
  highest_density_ = curve.density(curve.highest()).value();
  const int entries = std::max(
      2, 1 + static_cast<int>(std::ceil((highest_density_ - lowest_density_) / kDensityStep)));
  per_density_ = (entries - 1) / (highest_density_ - lowest_density_);
  stops_.reserve(static_cast<std::size_t>(entries));
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
    stops_.push_back(x0 + part * (x1 - x0));
  }
}

double InverseCurve::stops(double net_density) const {
  const double place = (net_density - lowest_density_) * per_density_;
  if (!(place > 0)) return stops_.front();
  if (!(place < static_cast<double>(stops_.size() - 1))) return stops_.back();
  const auto below = static_cast<std::size_t>(place);
  return stops_[below] + (place - static_cast<double>(below)) * (stops_[below + 1] - stops_[below]);
}

FilmExposures film_exposures(const NetDensities& densities, const FilmProfile& film,
                             const AssumedErrors& errors) {
  const std::size_t count = densities.apertures();
  FilmExposures result;
  result.stops.assign(count, 0.0);
  result.exposure.assign(count, 0.0);
  result.sigma.assign(count, 0.0);
  result.highlight_limit = result.highest = std::numeric_limits<double>::infinity();
  result.lowest = -result.highest;
  std::vector<double> least(count, 0.0);
  std::vector<double> most(count, 0.0);
  double weights = 0;
  for (const LayerDensities& layer : densities.layers) weights += layer.weight;
  for (const LayerDensities& layer : densities.layers) {
    const InverseCurve inverse(film.layers[layer.layer].curve, film, errors);
    const double weight = layer.weight / weights;
    const double shift = -errors.base * layer.base_sigma;
    const double stretch = 1 + errors.response * densities.response_sigma;
    const auto true_density = [&](double net) { return (net + shift) * stretch; };
    const double beyond = std::exp2(stops_beyond(errors.highlights));
    const double on_base = std::exp2(inverse.lowest()) * normal_cdf(errors.clear_film);
    find_limits(result, inverse, film.layers[layer.layer].curve,
                inverse.stops(true_density(layer.densest)));
    for (std::size_t i = 0; i < count; ++i) {
      const double d = true_density(layer.density[i]);
      const NoisyExposure noisy = noisy_exposure(inverse, d, layer.sigma[i]);
      const double bound = std::exp2(inverse.stops(d));
      result.stops[i] += weight * bound;
      result.sigma[i] += weight * weight * noisy.sigma * noisy.sigma;
      if (d <= inverse.lowest_density()) {
        result.exposure[i] += weight * on_base;
        most[i] += weight;
      } else if (layer.beyond[i] != 0 || d >= inverse.highest_density()) {
        result.exposure[i] += weight * bound * beyond;
        least[i] += weight;
      } else {
        result.exposure[i] += weight * noisy.exposure;
      }
    }
  }
  constexpr double kMostOfTheLight = 0.5;
  constexpr double kHair = 1e-6;  // what is beyond the end of the range is not on it
  for (std::size_t i = 0; i < count; ++i) {
    result.sigma[i] = std::sqrt(result.sigma[i]) / (result.stops[i] * std::numbers::ln2);
    result.stops[i] = std::log2(result.stops[i]);
    if (least[i] > kMostOfTheLight) result.stops[i] += kHair;
    result.least.push_back(least[i] > kMostOfTheLight ? 1 : 0);
    result.most.push_back(most[i] > kMostOfTheLight ? 1 : 0);
  }
  return result;
}

}  // namespace basefog
