// SPDX-License-Identifier: GPL-3.0-or-later
#include "basefog/roll/roll_development.hpp"

#include <algorithm>
#include <cmath>
#include <vector>

#include "basefog/core/film_facts.hpp"
#include "basefog/roll/analysis.hpp"
#include "numeric/quantile.hpp"

namespace basefog::roll {
namespace {

/// ln of what a stop of push does to the average gradient.
const double kPush = std::log(film_facts::kPushGradientFactor);
/// From here on a roll counts as wrongly exposed, as a frame does.
constexpr Stops kExposedWrong{0.5};
/// The 2nd percentile of a metered scene lies this far below the metered mean, give or take, from
/// frame to frame and beyond that from roll to roll: 3.1 and 1.3 stops in 240 views of 20
/// panoramas.
constexpr double kShadowsBelowMean = 3.1;
constexpr double kShadowSpread = 1.3;
constexpr double kShadowRoll = 0.4;
/// A number with its standard deviation.
struct Measured {
  double value = 0;
  double sigma = 0;
};

Measured together(const Measured& a, const Measured& b) {
  const double weight_a = 1 / (a.sigma * a.sigma);
  const double weight_b = 1 / (b.sigma * b.sigma);
  return {(a.value * weight_a + b.value * weight_b) / (weight_a + weight_b),
          1 / std::sqrt(weight_a + weight_b)};
}

/// What all frames of a roll share of a budget: contrast, response, the ends of the curve.
double shared_sigma(const reading::ErrorBudget& budget) {
  double variance = 0;
  for (const reading::ErrorCause cause :
       {reading::ErrorCause::response, reading::ErrorCause::contrast,
        reading::ErrorCause::toe_and_shoulder}) {
    const double sigma = budget[cause];
    variance += sigma * sigma;
  }
  return std::sqrt(variance);
}

/// The median of some frames' values, with the spread between them over the root of their number
/// and what they share.
Measured middle_of(const std::vector<double>& values, const std::vector<double>& shared,
                   double least_spread) {
  const auto [middle, sigma] = numeric::robust_spread(values);
  const double spread = std::max(least_spread, sigma);
  // numeric::kMedianOverMean as it was rounded here; recorded reviews hold to the last digit.
  constexpr double kMedianCosts = 1.25;
  return {middle, std::hypot(kMedianCosts * spread / std::sqrt(static_cast<double>(values.size())),
                             numeric::median(shared))};
}

/// Exposure of the roll, against what was asked.
Measured roll_exposure(const std::vector<const FrameResult*>& frames, ExposureAboveSpeedPoint aim) {
  const ExposureAboveSpeedPoint usual_shadows = aim - Stops(kShadowsBelowMean);
  std::vector<double> means;
  std::vector<double> means_shared;
  std::vector<double> shadows;
  std::vector<double> shadows_shared;
  for (const FrameResult* frame : frames) {
    const reading::FrameReading& reading = *frame->reading;
    const bool matched = frame->expected && !frame->flags.contains(Flag::match_doubtful);
    const Stops asked = matched ? in_stops(*frame->expected) : Stops(0);
    means.push_back((reading.exposure.estimate.value - asked).value());
    means_shared.push_back(shared_sigma(reading.exposure.budget));
    // The reserve that a scene of usual shadows has at what was asked; clear film counts as it is
    // given, which a median does not mind unless most frames have it.
    shadows.push_back((reading.shadow_reserve.estimate.value - asked - usual_shadows).value());
    shadows_shared.push_back(shared_sigma(reading.shadow_reserve.budget));
  }
  Measured by_shadows = middle_of(shadows, shadows_shared, kShadowSpread);
  by_shadows.sigma = std::hypot(by_shadows.sigma, kShadowRoll);
  return together(middle_of(means, means_shared, 0.3), by_shadows);
}

Measured of_factor(const Estimate<double>& factor) {
  return {std::log(factor.value),
          (std::log(*factor.high) - std::log(*factor.low)) / (2 * kNormal975)};
}

/// ln of the development's factor.
Measured roll_development(const RollFilm& film, const Estimate<double>& contrast) {
  const bool by_series = film.series && film.series->factor.two_sided();
  Measured development = of_factor(by_series ? film.series->factor : contrast);
  development.value += film.harder;
  return development;
}

double chance_above(const Measured& m, double limit) {
  return 1 - numeric::normal_cdf((limit - m.value) / m.sigma);
}

/// Base + fog, where the scan knows its true density and no mask is in it, and only where high.
std::optional<Density> high_fog(const film::FilmProfile& film,
                                const std::vector<const FrameResult*>& frames) {
  if (film.kind != FilmKind::black_and_white) return std::nullopt;
  for (const FrameResult* frame : frames) {
    if (!frame->measurement.light_known || frame->reference.density.empty()) continue;
    const Density fog = frame->reference.density.front();
    return fog.value() > film_facts::kHighFog ? std::optional(fog) : std::nullopt;
  }
  return std::nullopt;
}

}  // namespace

DevelopedBy developed_by(const memory::FilmUse& use) {
  if (use.developed.empty()) return DevelopedBy::unknown;
  return memory::read_development(use.developed).by_lab ? DevelopedBy::lab : DevelopedBy::self;
}

std::optional<RollDevelopment> judge_development(std::span<const FrameResult> frames,
                                                 const RollFilm& film,
                                                 const Estimate<double>& contrast, const Aim& aim) {
  std::vector<const FrameResult*> read;
  for (const FrameResult& frame : frames) {
    if (frame.state == density::FrameState::measured && frame.reading) read.push_back(&frame);
  }
  if (read.size() < static_cast<std::size_t>(kFewestForDevelopment)) return std::nullopt;
  const ExposureAboveSpeedPoint aim_on_film =
      above_speed_point(aim.log_exposure(), film.profile.speed_point());
  const Measured exposure = roll_exposure(read, aim_on_film);
  const Measured development = roll_development(film, contrast);
  RollDevelopment roll;
  roll.frames = static_cast<int>(read.size());
  roll.exposure = normal_estimate(Stops(exposure.value), Stops(exposure.sigma));
  roll.development = {std::exp(development.value),
                      std::exp(development.value - kNormal975 * development.sigma),
                      std::exp(development.value + kNormal975 * development.sigma)};
  roll.over_exposed = chance_above(exposure, kExposedWrong.value());
  roll.under_exposed = 1 - chance_above(exposure, -kExposedWrong.value());
  // Half of a stop's push is where "normal" ends.
  roll.over_developed = chance_above(development, kPush / 2);
  roll.under_developed = 1 - chance_above(development, -kPush / 2);
  roll.high_fog = high_fog(film.profile, read);
  return roll;
}

}  // namespace basefog::roll
