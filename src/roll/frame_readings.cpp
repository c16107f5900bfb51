// SPDX-License-Identifier: GPL-3.0-or-later
#include "roll/frame_readings.hpp"

#include "reading/metering.hpp"

namespace basefog::roll {

Aim aim_of(const film::FilmProfile& film, const ReviewOptions& options) {
  return {.q = options.aim_q, .k = options.aim_k, .film_speed = film.iso_speed};
}

MeteringPattern metering_of(const ReviewOptions& options) {
  const MeteringPattern told = options.reading.pattern;
  return told == MeteringPattern::unknown && options.camera ? options.camera->pattern : told;
}

FrameReadings read_frames(std::span<const ReferencedFrame> frames, const RollFilm& film,
                          const ReviewOptions& options, const MatchedLog& rows) {
  const Aim aim = aim_of(film.profile, options);
  reading::ReadingOptions common = options.reading;
  common.pattern = metering_of(options);
  // What the ranges of the roll's scenes leave of the response's doubt.
  if (film.scene_ranges) common.response_sigma = film.scene_ranges->response_sigma;
  FrameReadings readings(frames.size());
  for (std::size_t i = 0; i < frames.size(); ++i) {
    const ReferencedFrame& frame = frames[i];
    if (frame.state != density::FrameState::measured) continue;
    reading::ReadingOptions own = common;
    if (const log::LogRow* row = rows.row_of(i)) {
      own.pattern = reading::pattern_named(row->metering).value_or(common.pattern);
    }
    readings[i] = reading::read_frame(frame.measurement, frame.base, film.profile, aim, own);
  }
  return readings;
}

}  // namespace basefog::roll
