// SPDX-License-Identifier: GPL-3.0-or-later
#include "basefog/advice.hpp"

#include <fmt/format.h>

#include <algorithm>
#include <cmath>

#include "basefog/analysis.hpp"

namespace basefog {
namespace {

/// The finest step that cameras and films are marked in; less is not worth dialling.
constexpr double kThird = 1.0 / 3;

std::string evidence_of(const StopsEstimate& estimate, int frames) {
  return fmt::format("{:+.1f} ({:+.1f} to {:+.1f}) over {} {}", estimate.value.value(),
                     estimate.low->value(), estimate.high->value(), frames,
                     frames == 1 ? "frame" : "frames");
}

/// True where the interval leaves no doubt that there is an effect, and it is worth a third.
bool worth_acting_on(const StopsEstimate& effect) {
  const bool sure = *effect.low > Stops(0) || *effect.high < Stops(0);
  return sure && std::abs(effect.value.value()) >= kThird / 2;
}

Stops to_nearest_third(Stops s) { return Stops(std::round(s.value() / kThird) * kThird); }

/// "half a stop", "0.7 stop": as a person says it.
std::string in_words(Stops amount) {
  return fmt::format("{:.1f} stop{}", std::abs(amount.value()),
                     std::abs(amount.value()) >= 1.05 ? "s" : "");
}

/// The index at which most rows were exposed, else the film's speed.
FilmSpeed dialled_index(const Analysis& analysis) {
  std::vector<FilmSpeed> indices;
  for (const FrameResult& frame : analysis.frames) {
    if (!frame.log_row) continue;
    if (const auto& ei = analysis.log->rows[*frame.log_row].ei) indices.push_back(*ei);
  }
  if (indices.empty()) return analysis.film.iso_speed;
  std::sort(indices.begin(), indices.end());
  return indices[indices.size() / 2];
}

/// A meter that over-exposes by a stop at 400 is cured by dialling 800 [JukolartMeters].
Advice dial_index(const Analysis& analysis, const StopsEstimate& bias) {
  const FilmSpeed dialled = dialled_index(analysis);
  const FilmSpeed index = nearest_marked(FilmSpeed(dialled.iso() * bias.value.ratio()));
  const bool over = bias.value > Stops(0);
  return {.kind = AdviceKind::dial_exposure_index,
          .text = fmt::format("Set the dial to {} instead of {}: the camera gives {} too {}.",
                              as_marked(index), as_marked(dialled), in_words(bias.value),
                              over ? "much" : "little"),
          .stops = to_nearest_third(-bias.value),
          .set = "EI " + as_marked(index),
          .evidence = evidence_of(bias, analysis.meter->frames_used)};
}

Advice allow_for(const BiasEffect& effect) {
  return {.kind = AdviceKind::allow_for_speed,
          .text = fmt::format("Allow for {}: it gives {} too {}.", effect.level,
                              in_words(effect.stops.value),
                              effect.stops.value > Stops(0) ? "much" : "little"),
          .stops = to_nearest_third(-effect.stops.value),
          .set = effect.level,
          .evidence = evidence_of(effect.stops, effect.frames)};
}

std::vector<Advice> advise_on_camera(const Analysis& analysis) {
  std::vector<Advice> advice;
  if (!analysis.meter || !analysis.meter->bias) return advice;
  if (worth_acting_on(*analysis.meter->bias)) {
    advice.push_back(dial_index(analysis, *analysis.meter->bias));
  }
  for (const BiasEffect& effect : analysis.meter->effects) {
    const bool setting = effect.factor == "shutter" || effect.factor == "aperture";
    if (setting && worth_acting_on(effect.stops)) advice.push_back(allow_for(effect));
  }
  if (advice.empty()) {
    const StopsEstimate& bias = *analysis.meter->bias;
    const bool settled = (*bias.high - *bias.low).value() < 4 * kThird;
    if (settled) {
      advice.push_back({.kind = AdviceKind::nothing_to_change,
                        .text = "Nothing to change: the camera did what the log asked for.",
                        .evidence = evidence_of(bias, analysis.meter->frames_used)});
    }
  }
  return advice;
}

/// What would make the next roll's answers surer.
std::vector<Advice> advise_on_testing(const Analysis& analysis) {
  std::vector<Advice> advice;
  const auto unreferenced = std::count_if(
      analysis.frames.begin(), analysis.frames.end(),
      [](const FrameResult& frame) { return frame.state == FrameState::no_reference; });
  if (unreferenced > 0) {
    advice.push_back(
        {.kind = AdviceKind::scanning,
         .text = "Scan with a strip of clear rebate in view and the scanner's exposure locked.",
         .evidence = fmt::format("{} of {} frames have no density zero", unreferenced,
                                 analysis.frames.size())});
  }
  if (analysis.film.contrast_source == "generic") {
    advice.push_back(
        {.kind = AdviceKind::test_next,
         .text = "Shoot one view three times on the next roll, a stop under, as metered and a stop "
                 "over: it measures the film's contrast.",
         .evidence = fmt::format("contrast is generic, uncertain by {:.0f} %",
                                 100 * analysis.film.contrast_relative_sigma)});
  }
  return advice;
}

}  // namespace

std::vector<Advice> advise(const Analysis& analysis) {
  std::vector<Advice> advice = advise_on_camera(analysis);
  std::vector<Advice> testing = advise_on_testing(analysis);
  advice.insert(advice.end(), testing.begin(), testing.end());
  return advice;
}

}  // namespace basefog
