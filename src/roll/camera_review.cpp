// SPDX-License-Identifier: GPL-3.0-or-later
#include "basefog/roll/camera_review.hpp"

#include <utility>

#include "core/thirds.hpp"

namespace basefog::roll {
namespace {

/// Frames of all rolls, as the fit saw them.
std::vector<meter::DeviationSample> frames_of(std::span<const meter::RememberedRoll> rolls) {
  std::vector<meter::DeviationSample> frames;
  for (const meter::RememberedRoll& roll : rolls) {
    for (meter::DeviationSample frame : roll.deviations) {
      frame.film = meter::film_name(roll);
      frames.push_back(std::move(frame));
    }
  }
  return frames;
}

std::optional<CheckDrift> drift_of(const meter::MeterBias& meter) {
  if (!meter.drift || !meter.drift->change.two_sided()) return std::nullopt;
  const StopsEstimate& change = meter.drift->change;
  const bool moved = *change.low > Stops(0) || *change.high < Stops(0);
  if (!moved || abs(change.value) < Stops(kThird)) return std::nullopt;
  return CheckDrift{.change = {change, meter.frames_used}, .days = meter.drift->days};
}

/// Advice as for one roll; the fit of all of them stands in for that of one.
std::vector<Advice> advice_on(const meter::BiasHistory& history,
                              const std::optional<plan::NextRoll>& plan) {
  AdviceBasis basis{.meter = history.meter, .next_roll = plan};
  basis.film.speed_measured = history.film_speed_measured;
  basis.film.contrast_source = film::ContrastSource::profile;
  std::vector<Advice> advice = advise(basis);
  if (const auto drift = drift_of(history.meter)) advice.insert(advice.begin(), *drift);
  return advice;
}

}  // namespace

CameraReview review_camera(std::span<const meter::RememberedRoll> rolls) {
  CameraReview review{.history = meter::fit_bias_history(rolls)};
  if (!review.history.meter.bias) return review;
  const std::vector<meter::DeviationSample> frames = frames_of(rolls);
  review.next_roll =
      plan::plan_next_roll({.dialled = review.history.dialled.value_or(review.history.film_speed),
                            .meter = review.history.meter,
                            .techniques = review.history.techniques,
                            .frames = frames});
  review.advice = advice_on(review.history, review.next_roll);
  return review;
}

}  // namespace basefog::roll
