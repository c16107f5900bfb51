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
std::vector<log::KnownShutterError> known_errors(const Analysis& analysis) {
  std::vector<log::KnownShutterError> known;
  if (!analysis.meter) return known;
  for (const meter::BiasEffect& effect : analysis.meter->effects) {
    if (effect.factor != meter::BiasFactor::shutter || !meter::is_named(effect)) continue;
    for (const log::LogRow& row : analysis.log->rows) {
      if (!row.used.shutter || as_marked(*row.used.shutter) != effect.level) continue;
      known.push_back({*row.used.shutter, effect.stops.value});
      break;
    }
  }
  return known;
}

}  // namespace

void replace_settings(Analysis& analysis) {
  if (!analysis.log) return;
  const log::Camera camera = analysis.camera.value_or(log::default_camera());
  const std::vector<log::KnownShutterError> errors = known_errors(analysis);
  for (FrameResult& frame : analysis.frames) {
    if (!frame.reading || !frame.log_row || frame.flags.contains(Flag::match_doubtful)) continue;
    const log::LogRow& row = analysis.log->rows[*frame.log_row];
    const Stops wanted = needed(frame.reading->correction.estimate);
    if (!row.used.shutter || !row.used.aperture || row.flash ||
        abs(wanted) < Stops(reading::kWellExposed))
      continue;
    log::ReplacementQuestion question{.mode = row.mode, .known_errors = errors};
    question.compensation = row.compensation.value_or(Stops(0));
    question.settings = {.shutter = *row.used.shutter,
                         .aperture = *row.used.aperture,
                         .wanted = wanted,
                         .lens = log::lens_of(camera, row),
                         .focal_length_mm = row.focal_length_mm};
    frame.replacements = log::replacement_settings(camera, question);
  }
}

}  // namespace basefog::roll
