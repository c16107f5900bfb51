// SPDX-License-Identifier: GPL-3.0-or-later
#include "basefog/roll/camera_review.hpp"

#include <fmt/format.h>

#include <string>
#include <utility>

#include "core/stops_text.hpp"

namespace basefog::roll {
namespace {

/// Advice as for one roll; the fit of all of them stands in for that of one.
std::vector<Advice> advice_on(const meter::BiasHistory& history) {
  AdviceBasis basis;
  basis.film.iso_speed = history.film_speed;
  basis.film.speed_measured = history.film_speed_measured;
  basis.film.contrast_source = "ledger";
  basis.meter = history.meter;
  basis.techniques = history.techniques;
  std::vector<Advice> advice = advise(basis);
  const auto& drift = history.meter.drift;
  const bool moved = drift && drift->change.two_sided() &&
                     (*drift->change.low > Stops(0) || *drift->change.high < Stops(0));
  if (moved && abs(drift->change.value) >= Stops(kThird)) {
    Advice one{.kind = AdviceKind::check_meter};
    one.text = fmt::format(
        "The meter has come to give {} than at first: put in a fresh battery, and if the next roll "
        "shows the same, have the meter looked at.",
        amount_of_stops(drift->change.value) +
            (drift->change.value > Stops(0) ? " more" : " less"));
    one.evidence = evidence_text(drift->change, history.meter.frames_used) +
                   fmt::format(" in {:.0f} days", drift->days);
    std::erase_if(advice, [](const Advice& a) { return a.kind == AdviceKind::nothing_to_change; });
    advice.insert(advice.begin(), std::move(one));
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
