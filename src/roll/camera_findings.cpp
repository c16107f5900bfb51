// SPDX-License-Identifier: GPL-3.0-or-later
#include "roll/camera_findings.hpp"

#include <algorithm>
#include <cmath>
#include <utility>

namespace basefog::roll {
namespace {

/// Causes whose error is the frame's own; the others are one error shared by the roll's frames.
bool is_own_cause(reading::ErrorCause cause, density::ReferenceKind reference) {
  switch (cause) {
    case reading::ErrorCause::metering_pattern:
    case reading::ErrorCause::clipping:
      return true;
    case reading::ErrorCause::base:  // each frame with rebate has a zero of its own
      return reference == density::ReferenceKind::rebate;
    case reading::ErrorCause::response:
    case reading::ErrorCause::contrast:
    case reading::ErrorCause::toe_and_shoulder:
    case reading::ErrorCause::film_speed:
      return false;
  }
  return true;
}

/// Whether a frame's deviation says something of the meter.
bool tells_of_the_meter(const LoggedFrame& frame) {
  return frame.deviation && (frame.sure || frame.together) &&
         !frame.reading->flags.contains(Flag::clipped_base);
}

/// What each cause changes: a sample's sigma where it is the frame's own, else shared with others.
template <class Sample, class Change>
void set_errors(Sample& sample, const LoggedFrame& frame, const Change& change_by) {
  double own_variance = 0;
  for (const reading::ErrorCause cause : every<reading::ErrorCause>()) {
    // The meter's model has the film's speed as an effect of its own.
    if (cause == reading::ErrorCause::film_speed) continue;
    const double change = change_by(cause);
    if (is_own_cause(cause, frame.reference)) {
      own_variance += change * change;
    } else {
      sample.shared[cause] = change;
    }
  }
  sample.sigma = std::sqrt(own_variance);
}

std::vector<meter::DeviationSample> deviation_samples(std::span<const LoggedFrame> frames,
                                                      const film::FilmProfile& film) {
  std::vector<meter::DeviationSample> samples;
  for (const LoggedFrame& frame : frames) {
    if (!tells_of_the_meter(frame)) continue;
    const log::LogRow& row = frame.together ? frame.together->row : *frame.row;
    meter::DeviationSample sample{.deviation = frame.deviation->value};
    set_errors(sample, frame,
               [&](reading::ErrorCause cause) { return frame.reading->exposure.budget[cause]; });
    if (frame.together) {
      sample.deviation = sample.deviation + (*frame.expected - frame.together->expected);
      sample.sigma = std::hypot(sample.sigma, frame.together->sigma);
    }
    sample.reciprocity = frame.expected_sigma;
    if (film.speed_measured) sample.film_speed_sigma = film.speed_sigma_stops;
    sample.shutter = row.used.shutter;
    sample.aperture = row.used.aperture;
    sample.lens = row.lens;
    sample.mode = row.mode;
    sample.frame = row.frame;
    sample.place = frame.frame;
    sample.scene = row.scene;
    sample.request_logged = row.metered.shutter && row.metered.aperture;
    if (frame.scene_ev) sample.light_ev = frame.scene_ev->value.value();
    samples.push_back(std::move(sample));
  }
  return samples;
}

std::vector<meter::TechniqueSample> technique_samples(std::span<const LoggedFrame> frames,
                                                      const film::FilmProfile& film) {
  std::vector<meter::TechniqueSample> samples;
  for (const LoggedFrame& frame : frames) {
    if (!frame.technique || !frame.sure) continue;
    const log::LogRow& row = *frame.row;
    if (row.scene.empty()) continue;
    meter::TechniqueSample sample{
        .technique = *frame.technique, .scene = row.scene, .mode = row.mode};
    log::LogRow beyond_meter = row;
    beyond_meter.ei.reset();
    sample.asked =
        in_stops(log::expected_exposure(beyond_meter, film.iso_speed).value_or(ExposureFromAim()));
    const reading::Answer<ExposureFromAim>& exposure = frame.reading->exposure;
    const reading::Answer<Stops>& correction = frame.reading->correction;
    // An error of the exposure mostly leaves the correction with the opposite sign.
    sample.place = frame.frame;
    set_errors(sample, frame, [&](reading::ErrorCause cause) {
      return exposure.budget[cause] + correction.budget[cause];
    });
    samples.push_back(std::move(sample));
  }
  return samples;
}

std::optional<FilmSpeed> dialled_index(const MatchedLog& rows) {
  std::vector<FilmSpeed> indices;
  for (std::size_t i = 0; i < rows.matching->frames.size(); ++i) {
    const log::LogRow* row = rows.row_of(i);
    if (row != nullptr && row->ei) indices.push_back(*row->ei);
  }
  if (indices.empty()) return std::nullopt;
  std::ranges::sort(indices);
  return indices[indices.size() / 2];
}

}  // namespace

CameraFindings judge_camera(std::span<const LoggedFrame> frames, const MatchedLog& rows,
                            const film::FilmProfile& film) {
  if (!rows.matching) return {};
  CameraFindings found{.dialled = dialled_index(rows)};
  if (rows.is_foreign()) return found;
  found.deviations = deviation_samples(frames, film);
  found.technique_samples = technique_samples(frames, film);
  found.meter = meter::fit_meter_bias(found.deviations);
  found.techniques = meter::fit_technique(found.technique_samples);
  return found;
}

}  // namespace basefog::roll
