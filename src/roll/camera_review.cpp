// SPDX-License-Identifier: GPL-3.0-or-later
#include "basefog/roll/camera_review.hpp"

#include <variant>

#include "core/thirds.hpp"

namespace basefog::roll {
namespace {

/// Advice as for one roll; the fit of all of them stands in for that of one.
std::vector<Advice> advice_on(const meter::BiasHistory& history) {
  AdviceBasis basis;
  basis.film.iso_speed = history.film_speed;
  basis.film.speed_measured = history.film_speed_measured;
  basis.film.contrast_source = film::ContrastSource::profile;
  basis.meter = history.meter;
  basis.techniques = history.techniques;
  std::vector<Advice> advice = advise(basis);
  const auto& drift = history.meter.drift;
  const bool moved = drift && drift->change.two_sided() &&
                     (*drift->change.low > Stops(0) || *drift->change.high < Stops(0));
  if (moved && abs(drift->change.value) >= Stops(kThird)) {
    std::erase_if(advice,
                  [](const Advice& one) { return std::holds_alternative<NothingToChange>(one); });
    advice.insert(advice.begin(), CheckDrift{.change = {drift->change, history.meter.frames_used},
                                             .days = drift->days});
  }
  return advice;
}

}  // namespace

CameraReview review_camera(std::span<const meter::RememberedRoll> rolls) {
  CameraReview review{.history = meter::fit_bias_history(rolls)};
  if (review.history.meter.bias) review.advice = advice_on(review.history);
  return review;
}

}  // namespace basefog::roll
