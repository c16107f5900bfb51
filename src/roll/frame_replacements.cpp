// SPDX-License-Identifier: GPL-3.0-or-later
#include "roll/frame_replacements.hpp"

namespace basefog::roll {
namespace {

/// What the picture needed: the value, or of a one-sided answer what is sure.
Stops needed(const StopsEstimate& correction) {
  if (correction.two_sided()) return correction.value;
  if (correction.low && correction.value > Stops(0)) return *correction.low;
  if (correction.high && correction.value < Stops(0)) return *correction.high;
  return correction.value;
}

/// Speeds in use that the roll's own fit names.
std::vector<log::KnownShutterError> known_errors(std::span<const LoggedFrame> frames,
                                                 const std::optional<meter::MeterBias>& meter) {
  std::vector<log::KnownShutterError> known;
  if (!meter) return known;
  for (const meter::BiasEffect& effect : meter->effects) {
    if (effect.factor != meter::BiasFactor::shutter || !meter::is_named(effect)) continue;
    for (const LoggedFrame& frame : frames) {
      const std::optional<ShutterTime>& shutter = frame.row->used.shutter;
      if (!shutter || as_marked(*shutter) != effect.level) continue;
      known.push_back({*shutter, effect.stops.value});
      break;
    }
  }
  return known;
}

/// What to ask of the camera for a frame; nothing where its picture was well exposed or the log
/// does not say what was set.
std::optional<log::ReplacementQuestion> question_of(const LoggedFrame& frame,
                                                    const log::Camera& camera) {
  const log::LogRow& row = *frame.row;
  const Stops wanted = needed(frame.reading->correction.estimate);
  if (!frame.sure || !row.used.shutter || !row.used.aperture || row.flash ||
      abs(wanted) < Stops(reading::kWellExposed)) {
    return std::nullopt;
  }
  log::ReplacementQuestion question{.mode = row.mode};
  question.compensation = row.compensation.value_or(Stops(0));
  question.settings = {.shutter = *row.used.shutter,
                       .aperture = *row.used.aperture,
                       .wanted = wanted,
                       .lens = log::lens_of(camera, row),
                       .focal_length_mm = row.focal_length_mm};
  return question;
}

}  // namespace

std::vector<log::Replacements> replace_settings(std::span<const LoggedFrame> frames,
                                                const std::optional<meter::MeterBias>& meter,
                                                const std::optional<log::Camera>& camera) {
  const log::Camera set = camera.value_or(log::default_camera());
  const std::vector<log::KnownShutterError> errors = known_errors(frames, meter);
  std::vector<log::Replacements> replacements(frames.size());
  for (std::size_t i = 0; i < frames.size(); ++i) {
    auto question = question_of(frames[i], set);
    if (!question) continue;
    question->known_errors = errors;
    replacements[i] = log::replacement_settings(set, *question);
  }
  return replacements;
}

}  // namespace basefog::roll
