// SPDX-License-Identifier: GPL-3.0-or-later
#include "reading/error_budget.hpp"

#include <algorithm>
#include <cmath>
#include <numbers>

#include "numeric/quantile.hpp"
#include "reading/correction.hpp"

namespace basefog::reading {
namespace {

struct AssumedCause {
  double AssumedErrors::*error;
  ErrorCause cause;
};

constexpr auto kAssumedCauses = std::to_array<AssumedCause>({
    {&AssumedErrors::base, ErrorCause::base},
    {&AssumedErrors::response, ErrorCause::response},
    {&AssumedErrors::contrast, ErrorCause::contrast},
    {&AssumedErrors::toe, ErrorCause::toe_and_shoulder},
    {&AssumedErrors::upper_gradient, ErrorCause::toe_and_shoulder},
    {&AssumedErrors::shoulder, ErrorCause::toe_and_shoulder},
    {&AssumedErrors::highlights, ErrorCause::clipping},
    {&AssumedErrors::clear_film, ErrorCause::clipping},
});

/// Changes of exposure whose costs differ by less than this share of the frame are as good as each
/// other: about three apertures of a whole frame (judgement).
constexpr double kLeastLoss = 0.001;

/// Two independent parts of one cause.
Swing joined(const Swing& a, const Swing& b) {
  const double larger = std::abs(a.per_sigma) > std::abs(b.per_sigma) ? a.per_sigma : b.per_sigma;
  return {std::hypot(a.down, b.down), std::hypot(a.up, b.up),
          std::copysign(std::hypot(a.per_sigma, b.per_sigma), larger)};
}

Swing swing_between(double nominal, double below, double above) {
  return {std::max({nominal - below, nominal - above, 0.0}),
          std::max({below - nominal, above - nominal, 0.0}), (above - below) / (2 * kNormal975)};
}

Swing symmetric(double sigma) { return {kNormal975 * sigma, kNormal975 * sigma, sigma}; }

double exposure_noise(const FilmExposures& exposures, std::span<const PossibleMetering> meterings) {
  double sigma = 0;
  for (const PossibleMetering& metering : meterings) {
    double variance = 0;
    double mean = 0;
    for (std::size_t i = 0; i < exposures.above_speed.size(); ++i) {
      const double part = metering.weight[i] * exposures.exposure[i];
      mean += part;
      variance += part * part * exposures.sigma[i] * exposures.sigma[i];
    }
    if (mean > 0) sigma += metering.probability * std::sqrt(variance) / mean;
  }
  return sigma;
}

/// Noise of a percentile: the standard deviation of how many apertures noise carries past it, over
/// how many lie there in a stop.
double percentile_noise(const FilmExposures& exposures, double percentile) {
  constexpr double kLeastSigma = 1e-3;  // stops; keeps the crowd finite where nothing is noisy
  constexpr double kFarOff = 6;         // sigmas; beyond them nothing crosses
  double crossings = 0;
  double crowd = 0;
  for (std::size_t i = 0; i < exposures.above_speed.size(); ++i) {
    const double sigma = std::max(exposures.sigma[i], kLeastSigma);
    const double z = (percentile - exposures.above_speed[i]) / sigma;
    if (std::abs(z) > kFarOff) continue;
    const double below = numeric::normal_cdf(z);
    crossings += below * (1 - below);
    crowd += std::exp(-z * z / 2) / (sigma * std::sqrt(2 * std::numbers::pi));
  }
  return crowd > 0 ? std::sqrt(crossings) / crowd : 0;
}

void add_noise(EnumArray<Quantity, Swings>& swings, const FrameNumbers& nominal,
               const FilmExposures& exposures, std::span<const PossibleMetering> meterings) {
  const auto set = [&](Quantity q, const Swing& swing) { swings[q][ErrorCause::noise] = swing; };
  set(Quantity::exposure, symmetric(exposure_noise(exposures, meterings)));
  set(Quantity::shadow_reserve,
      symmetric(percentile_noise(exposures, nominal[Quantity::shadow_reserve])));
  const Swing reach = symmetric(percentile_noise(exposures, nominal[Quantity::highlight_reach]));
  set(Quantity::highlight_reach, reach);
  set(Quantity::highlight_room, {reach.up, reach.down, -reach.per_sigma});
  const CorrectionChoice choice =
      best_correction(sorted_stops(exposures), exposures.highlight_limit,
                      ExposureFromAim(nominal[Quantity::exposure]), kLeastLoss);
  set(Quantity::correction, swing_between(choice.stops, choice.low, choice.high));
}

/// Standard deviation over the possible meterings; positive where the later ones give more.
double spread(std::span<const double> possible, std::span<const PossibleMetering> meterings) {
  double mean = 0;
  for (std::size_t i = 0; i < possible.size(); ++i) mean += meterings[i].probability * possible[i];
  double variance = 0;
  for (std::size_t i = 0; i < possible.size(); ++i) {
    variance += meterings[i].probability * (possible[i] - mean) * (possible[i] - mean);
  }
  return std::copysign(std::sqrt(variance), possible.back() - possible.front());
}

}  // namespace

Swing total(const Swings& swings) {
  Swing sum;
  for (const Swing& swing : swings) sum = joined(sum, swing);
  return sum;
}

EnumArray<Quantity, Swings> error_swings(const NetDensities& densities,
                                         const film::FilmProfile& film,
                                         std::span<const PossibleMetering> meterings,
                                         ExposureAboveSpeedPoint aim) {
  const FilmExposures exposures = film_exposures(densities, film);
  const FrameNumbers nominal = frame_numbers(exposures, meterings, aim);
  EnumArray<Quantity, Swings> swings;
  for (const AssumedCause& assumed : kAssumedCauses) {
    AssumedErrors errors;
    errors.*assumed.error = -kNormal975;
    const FrameNumbers below =
        frame_numbers(film_exposures(densities, film, errors), meterings, aim);
    errors.*assumed.error = kNormal975;
    const FrameNumbers above =
        frame_numbers(film_exposures(densities, film, errors), meterings, aim);
    for (const Quantity q : every<Quantity>()) {
      Swing& swing = swings[q][assumed.cause];
      swing = joined(swing, swing_between(nominal[q], below[q], above[q]));
    }
  }
  add_noise(swings, nominal, exposures, meterings);
  swings[Quantity::exposure][ErrorCause::metering_pattern].per_sigma =
      spread(nominal.exposure, meterings);
  swings[Quantity::correction][ErrorCause::metering_pattern].per_sigma =
      spread(nominal.correction, meterings);
  return swings;
}

StopsEstimate interval(double value, std::span<const double> possible,
                       std::span<const PossibleMetering> meterings, const Swing& total,
                       bool at_least, bool at_most) {
  std::vector<numeric::SplitNormal> parts;
  for (std::size_t i = 0; i < possible.size(); ++i) {
    parts.push_back({meterings.size() == possible.size() ? meterings[i].probability : 1.0,
                     possible[i], total.down / kNormal975, total.up / kNormal975});
  }
  // An open end leaves all of 5 % to the other, so that 95 % stay covered.
  constexpr double kOneTail = 0.05;
  const double tail = at_least != at_most ? kOneTail : kOneTail / 2;
  StopsEstimate estimate{Stops(value), std::nullopt, std::nullopt};
  if (!at_most) estimate.low = Stops(std::min(value, numeric::mixture_quantile(parts, tail)));
  if (!at_least) estimate.high = Stops(std::max(value, numeric::mixture_quantile(parts, 1 - tail)));
  return estimate;
}

}  // namespace basefog::reading
