// SPDX-License-Identifier: GPL-3.0-or-later
#include "basefog/evidence/scene_ranges.hpp"

#include <algorithm>
#include <array>
#include <cmath>

#include "numeric/quantile.hpp"
#include "reading/frame_numbers.hpp"
#include "reading/net_densities.hpp"

namespace basefog::evidence {
namespace {

/// Mean range of a picture between its percentiles, stops. Scenes are 160:1, 7.3 stops, from their
/// darkest to their brightest place [SceneRange]; in 240 views of 20 panoramas, 6.8 stops in all,
/// 0.75 of it lay between the percentiles. 7.3 times that is 5.5, the views themselves had 5.1.
constexpr double kMeanRange = 5.3;
/// From scene to scene ranges spread as a Weibull distribution of this shape (fitted to the same
/// views; a standard deviation of 0.36 of the mean). A few scenes follow no rule (judgement):
/// without them one frame of lamps or fog would pull the roll.
constexpr double kWeibullShape = 3;
constexpr double kOddScenes = 0.05;
constexpr double kOddWidth = 3.5;  ///< in ln(range), evenly about the mean
/// How far a roll's scenes differ from all scenes, in ln(range): some rolls are lamps and snow,
/// some fog (judgement; single panoramas' mean ranges differ by 0.15, the sample roll's scenes by
/// 0.22).
constexpr double kRollSigma = 0.25;
/// Ranges under this, stops, are no scene: an even wall, a blank, fog (judgement).
constexpr double kLeastRange = 0.3;

constexpr double kFarthest = 0.7;  ///< of ln(contrast factor), either way: twice or half as hard
constexpr int kGridHalf = 70;      ///< steps of a percent

/// A frame's range under the film as given, stops.
struct Range {
  double stops = 0;
  bool at_least = false;  ///< an end lies beyond the range of film or scan
};

const reading::LayerDensities& main_layer(const reading::NetDensities& densities) {
  return *std::ranges::max_element(densities.layers, {}, &reading::LayerDensities::weight);
}

Range range_of(const RangeFrame& frame, const film::FilmProfile& film) {
  const reading::NetDensities densities =
      reading::net_densities(*frame.measurement, *frame.base, film);
  const reading::LayerDensities& layer = main_layer(densities);
  std::vector<double> sorted = layer.density;
  std::ranges::sort(sorted);
  const film::CharacteristicCurve& curve = film.layers[layer.layer].curve;
  const Stops low =
      curve.exposure(NetDensity(numeric::sorted_quantile(sorted, reading::kShadowPercentile)));
  const Stops high =
      curve.exposure(NetDensity(numeric::sorted_quantile(sorted, reading::kHighlightPercentile)));
  const auto beyond = std::ranges::count(layer.beyond, 1);
  const bool beyond_scan =
      static_cast<double>(beyond) >
      (1 - reading::kHighlightPercentile) * static_cast<double>(layer.beyond.size());
  return {(high - low).value(), beyond_scan || low <= curve.lowest() || high >= curve.highest()};
}

/// Log of the chance of a range where scenes' mean range is `mean`, against ln(range).
double log_chance(const Range& range, double mean) {
  static const double kMeanOfWeibull = std::tgamma(1 + 1 / kWeibullShape);
  const double power = std::pow(range.stops / (mean / kMeanOfWeibull), kWeibullShape);
  if (range.at_least) {
    const double odd = std::clamp(0.5 - std::log(range.stops / mean) / kOddWidth, 0.0, 1.0);
    return std::log((1 - kOddScenes) * std::exp(-power) + kOddScenes * odd);
  }
  return std::log((1 - kOddScenes) * kWeibullShape * power * std::exp(-power) +
                  kOddScenes / kOddWidth);
}

/// Log likelihood of all ranges, over what the roll's own mean may be.
double log_likelihood(const std::vector<Range>& ranges) {
  constexpr int kHalf = 6;       // steps either way, to three sigmas
  constexpr double kStep = 0.5;  // of kRollSigma
  std::array<double, 2 * kHalf + 1> logs{};
  for (int i = -kHalf; i <= kHalf; ++i) {
    const double mean = kMeanRange * std::exp(i * kStep * kRollSigma);
    double sum = -(i * kStep) * (i * kStep) / 2;
    for (const Range& range : ranges) sum += log_chance(range, mean);
    logs[static_cast<std::size_t>(i + kHalf)] = sum;
  }
  const double most = *std::ranges::max_element(logs);
  double total = 0;
  for (const double one : logs) total += std::exp(one - most);
  return most + std::log(total);
}

struct Moments {
  double mean = 0;
  double sigma = 0;
};

/// Of ln(factor), from log chances over the grid.
Moments moments(const std::vector<double>& log_factor, const std::vector<double>& log_chance) {
  const double most = *std::ranges::max_element(log_chance);
  double weights = 0;
  double mean = 0;
  double square = 0;
  for (std::size_t i = 0; i < log_factor.size(); ++i) {
    const double weight = std::exp(log_chance[i] - most);
    weights += weight;
    mean += weight * log_factor[i];
    square += weight * log_factor[i] * log_factor[i];
  }
  mean /= weights;
  return {mean, std::sqrt(std::max(0.0, square / weights - mean * mean))};
}

double response_sigma_of(std::span<const RangeFrame> frames, const film::FilmProfile& film) {
  double sigma = 0;
  for (const RangeFrame& frame : frames) {
    sigma = std::max(sigma, reading::response_sigma(*frame.measurement, film));
  }
  return sigma;
}

}  // namespace

SceneRanges contrast_from_ranges(std::span<const RangeFrame> frames,
                                 const film::FilmProfile& film) {
  SceneRanges result{.film = film, .response_sigma = response_sigma_of(frames, film)};
  const double prior_sigma = std::hypot(film.contrast_relative_sigma, result.response_sigma);
  std::vector<Range> ranges;
  for (const RangeFrame& frame : frames) {
    ranges.push_back(range_of(frame, film));
    if (ranges.back().stops < kLeastRange) {
      ranges.pop_back();
    }
  }
  result.frames = static_cast<int>(ranges.size());
  if (ranges.size() < kFewestRangeFrames || prior_sigma <= 0) return result;

  std::vector<double> log_factor;
  std::vector<double> together;
  for (int i = -kGridHalf; i <= kGridHalf; ++i) {
    log_factor.push_back(i * kFarthest / kGridHalf);
    // A harder film makes every range shorter by its factor. Reading anew through each film would
    // clamp what lies beyond its ends, and ranges that are all cut alike would look likely.
    std::vector<Range> under = ranges;
    for (Range& range : under) range.stops *= std::exp(-log_factor.back());
    const double z = log_factor.back() / prior_sigma;
    together.push_back(log_likelihood(under) - z * z / 2);
  }
  const Moments found = moments(log_factor, together);
  const double left = std::min(1.0, found.sigma / prior_sigma);
  result.film = film.with_contrast(std::exp(found.mean));
  result.film.contrast_relative_sigma = left * film.contrast_relative_sigma;
  if (film.contrast_source == film::ContrastSource::generic)
    result.film.contrast_source = film::ContrastSource::scene_ranges;
  result.response_sigma *= left;
  result.factor = {std::exp(found.mean), std::exp(found.mean - kNormal975 * found.sigma),
                   std::exp(found.mean + kNormal975 * found.sigma)};
  return result;
}

}  // namespace basefog::evidence
