// SPDX-License-Identifier: GPL-3.0-or-later
#include "roll/log_comparison.hpp"

#include <cmath>
#include <utility>

#include "basefog/core/film_facts.hpp"
#include "basefog/log/scene_light.hpp"

namespace basefog::roll {
namespace {

/// Causes whose error is the frame's own; the others are one error shared by the roll's frames.
bool is_own_cause(reading::ErrorCause cause, density::ReferenceKind reference) {
  switch (cause) {
    case reading::ErrorCause::metering_pattern:
    case reading::ErrorCause::clipping:
    case reading::ErrorCause::noise:
      return true;
    case reading::ErrorCause::base:  // each frame with rebate has a zero of its own
      return reference == density::ReferenceKind::rebate;
    case reading::ErrorCause::response:
    case reading::ErrorCause::contrast:
    case reading::ErrorCause::toe_and_shoulder:
      return false;
  }
  return true;
}

/// Exposure less what was expected; their errors are independent.
StopsEstimate difference(const StopsEstimate& exposure, Stops expected, Stops expected_sigma) {
  const double wider = kNormal975 * expected_sigma.value();
  StopsEstimate result{exposure.value - expected, {}, {}};
  if (exposure.low) {
    result.low = result.value - Stops(std::hypot((exposure.value - *exposure.low).value(), wider));
  }
  if (exposure.high) {
    result.high =
        result.value + Stops(std::hypot((*exposure.high - exposure.value).value(), wider));
  }
  return result;
}

/// The scene's own light, by settings and exposure, and whether the row's words can mean it.
void hold_words_against_light(FrameResult& frame, const log::LogRow& row, FilmSpeed film_speed,
                              Stops reciprocity) {
  frame.scene_ev =
      log::scene_ev_100(row, film_speed, frame.reading->exposure.estimate, reciprocity);
  if (frame.scene_ev && log::scene_contradiction(row, *frame.scene_ev)) {
    frame.flags.insert(Flag::log_contradicts_scene);
  }
}

/// Whether a frame's deviation says something of the meter: with both ends, or with a lower bound
/// because light may be hidden, which its sigma holds; a bound that clear film sets has no sigma.
bool tells_of_the_meter(const FrameResult& frame) {
  return frame.deviation && frame.deviation->low && !frame.flags.contains(Flag::match_doubtful) &&
         !frame.reading->flags.contains(Flag::clipped_base);
}

}  // namespace

void compare_with_log(Analysis& analysis) {
  for (FrameResult& frame : analysis.frames) {
    if (!frame.log_row || !frame.reading) continue;
    const log::LogRow& row = analysis.log->rows[*frame.log_row];
    const film::ReciprocityLoss reciprocity =
        row.used.shutter
            ? film::reciprocity_loss(analysis.film.reciprocity, exact(*row.used.shutter))
            : film::ReciprocityLoss{};
    hold_words_against_light(frame, row, analysis.film.iso_speed, reciprocity.loss);
    if (row.doubtful) frame.flags.insert(Flag::log_value_doubtful);
    frame.expected = log::expected_exposure(row, analysis.film.iso_speed);
    if (!frame.expected) continue;

    *frame.expected -= reciprocity.loss;
    frame.expected_sigma = reciprocity.sigma;
    if (reciprocity.loss > Stops(0)) frame.flags.insert(Flag::reciprocity_uncertain);
    frame.deviation =
        difference(frame.reading->exposure.estimate, *frame.expected, frame.expected_sigma);
    frame.technique = frame.reading->correction.estimate.value + frame.deviation->value;
  }
}

std::vector<meter::DeviationSample> deviation_samples(const Analysis& analysis) {
  std::vector<meter::DeviationSample> samples;
  for (const FrameResult& frame : analysis.frames) {
    if (!tells_of_the_meter(frame)) continue;
    const log::LogRow& row = analysis.log->rows[*frame.log_row];
    meter::DeviationSample sample{.deviation = frame.deviation->value};
    double own_variance = 0;
    for (int i = 0; i < reading::kErrorCauses; ++i) {
      const double change = frame.reading->exposure.budget[i];
      if (is_own_cause(static_cast<reading::ErrorCause>(i), frame.reference.kind)) {
        own_variance += change * change;
      } else {
        sample.shared[i] = change;
      }
    }
    sample.sigma = std::sqrt(own_variance);
    // Light that the film hides is hidden on all frames by one shoulder: however many there are,
    // they must not make the bias surer than that.
    if (!frame.deviation->high) {
      const auto clipping = static_cast<std::size_t>(reading::ErrorCause::clipping);
      sample.shared[clipping] = frame.reading->exposure.budget[clipping];
    }
    sample.reciprocity = frame.expected_sigma;
    if (analysis.film.speed_measured) {
      sample.film_speed_sigma = std::hypot(analysis.film.speed_sigma_stops, film_facts::kRollSigma);
    }
    sample.shutter = row.used.shutter;
    sample.aperture = row.used.aperture;
    sample.lens = row.lens;
    sample.mode = row.mode;
    sample.frame = row.frame;
    sample.request_logged = row.metered.shutter && row.metered.aperture;
    if (frame.scene_ev) sample.light_ev = frame.scene_ev->value.value();
    samples.push_back(std::move(sample));
  }
  return samples;
}

std::vector<meter::TechniqueSample> technique_samples(const Analysis& analysis) {
  // What a correction known from one side only may be off by (judgement): more than scenes of one
  // kind differ, so that such frames count little against others.
  constexpr double kOneSidedSigma = 1.0;
  std::vector<meter::TechniqueSample> samples;
  for (const FrameResult& frame : analysis.frames) {
    if (!frame.technique || frame.flags.contains(Flag::match_doubtful)) continue;
    const log::LogRow& row = analysis.log->rows[*frame.log_row];
    if (row.scene.empty()) continue;
    meter::TechniqueSample sample{
        .technique = *frame.technique, .scene = row.scene, .mode = row.mode};
    log::LogRow beyond_meter = row;
    beyond_meter.ei.reset();
    sample.asked = log::expected_exposure(beyond_meter, analysis.film.iso_speed).value_or(Stops(0));
    const reading::Answer& exposure = frame.reading->exposure;
    const reading::Answer& correction = frame.reading->correction;
    double own_variance = 0;
    for (int i = 0; i < reading::kErrorCauses; ++i) {
      // An error of the exposure mostly leaves the correction with the opposite sign.
      const double change = exposure.budget[i] + correction.budget[i];
      if (is_own_cause(static_cast<reading::ErrorCause>(i), frame.reference.kind)) {
        own_variance += change * change;
      } else {
        sample.shared[i] = change;
      }
    }
    sample.sigma = std::sqrt(own_variance);
    if (!exposure.estimate.two_sided() || !correction.estimate.two_sided()) {
      sample.sigma = std::hypot(sample.sigma, kOneSidedSigma);
    }
    samples.push_back(std::move(sample));
  }
  return samples;
}

}  // namespace basefog::roll
