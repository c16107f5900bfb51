// SPDX-License-Identifier: GPL-3.0-or-later
#include "ensemble/evidence.hpp"

#include <algorithm>
#include <array>
#include <cmath>
#include <vector>

namespace basefog::ensemble {
namespace {

/// What base, response and noise may do to a greatest density (judgement).
constexpr double kDensityDoubt = 0.03;

/// Frames share what no member holds, above all the form of the curve, so that n frames say as much
/// as half as many: with all of them 95 % intervals of the exposure held 85 % of 400 frames, with
/// half 98 % (validate "sheets, log", 20 rolls of 20, seed 7, on which this was tuned).
constexpr double kFramesCount = 0.5;

/// Mean range of a picture between its percentiles, stops. Scenes are 160:1, 7.3 stops, from their
/// darkest to their brightest place [SceneRange]; in 240 views of 20 panoramas, 6.8 stops in all,
/// 0.75 of it lay between the percentiles. 7.3 times that is 5.5, the views themselves had 5.1.
constexpr double kMeanRange = 5.2;
/// Spread from scene to scene (fitted to the same views; a standard deviation of 0.36 of the mean);
/// a few scenes follow no rule (judgement).
constexpr double kWeibullShape = 3;
constexpr double kOddScenes = 0.05;
constexpr double kOddWidth = 3.5;  ///< in ln(range), evenly about the mean
/// How far a roll's scenes differ from all scenes, in ln(range): 0.4 stop and more of 5.2 between
/// simulated rolls, twice that for rolls of fog or of lamps (judgement).
constexpr double kRollSigma = 0.15;
constexpr double kLeastRange = 0.3;  ///< stops; an even wall

double log_sum(std::span<const double> logs) {
  const double most = *std::ranges::max_element(logs);
  double sum = 0;
  for (const double one : logs) sum += std::exp(one - most);
  return most + std::log(sum);
}

double log_of_range(const Range& range, double mean) {
  static const double kMeanOfWeibull = std::tgamma(1 + 1 / kWeibullShape);
  const double stops = std::max(range.stops, kLeastRange);
  const double power = std::pow(stops / (mean / kMeanOfWeibull), kWeibullShape);
  if (range.at_least) {
    const double odd = std::clamp(0.5 - std::log(stops / mean) / kOddWidth, 0.0, 1.0);
    return std::log((1 - kOddScenes) * std::exp(-power) + kOddScenes * odd);
  }
  return std::log((1 - kOddScenes) * kWeibullShape * power * std::exp(-power) +
                  kOddScenes / kOddWidth);
}

/// Log of the product of Student t densities of some degrees of freedom, but for a constant.
double log_student(std::span<const Deviation> deviations, double bias, double scatter) {
  constexpr double kFreedom = 4;
  constexpr std::size_t kTogether = 16;  // factors below 1e15 each: their product stays finite
  double log = -static_cast<double>(deviations.size()) * std::log(scatter);
  double product = 1;
  for (std::size_t i = 0; i < deviations.size(); ++i) {
    const double t = (deviations[i].stops - bias) / scatter;
    product *= 1 + t * t / kFreedom;
    if (i % kTogether != kTogether - 1) continue;
    log -= (kFreedom + 1) / 2 * std::log(product);
    product = 1;
  }
  return log - (kFreedom + 1) / 2 * std::log(product);
}

}  // namespace

double log_of_density(double too_dense) {
  const double sigmas = std::max(too_dense, 0.0) / kDensityDoubt;
  return -sigmas * sigmas / 2;
}

double log_of_ranges(std::span<const Range> ranges) {
  constexpr int kHalf = 6;       // steps either way, to three sigmas
  constexpr double kStep = 0.5;  // of kRollSigma
  std::array<double, 2 * kHalf + 1> logs{};
  for (int i = -kHalf; i <= kHalf; ++i) {
    const double mean = kMeanRange * std::exp(i * kStep * kRollSigma);
    double sum = 0;
    for (const Range& range : ranges) sum += log_of_range(range, mean);
    logs[static_cast<std::size_t>(i + kHalf)] = kFramesCount * sum - (i * kStep) * (i * kStep) / 2;
  }
  return log_sum(logs);
}

double log_of_agreement(std::span<const Deviation> deviations) {
  constexpr std::size_t kFewest = 3;
  if (deviations.size() < kFewest) return 0;
  // Cameras are within half a stop or so, film and development with them (judgement); frames about
  // them from a tenth of a stop, an automatic's, to a log that is hardly one.
  constexpr std::array kScatters = {0.12, 0.2, 0.33, 0.55, 0.9};
  constexpr double kBiasScale = 0.6;
  constexpr double kBiasFreedom = 3;
  constexpr double kFarthest = 3;
  constexpr double kStep = 0.1;
  std::vector<double> logs;
  for (int i = 0; i <= static_cast<int>(2 * kFarthest / kStep); ++i) {
    const double bias = i * kStep - kFarthest;
    const double prior = -(kBiasFreedom + 1) / 2 *
                         std::log1p(bias * bias / (kBiasFreedom * kBiasScale * kBiasScale));
    for (const double scatter : kScatters) {
      logs.push_back(prior + kFramesCount * log_student(deviations, bias, scatter));
    }
  }
  double slopes = 0;
  for (const Deviation& deviation : deviations) slopes += deviation.log_slope;
  return log_sum(logs) + kFramesCount * slopes;
}

}  // namespace basefog::ensemble
