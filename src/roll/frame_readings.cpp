// SPDX-License-Identifier: GPL-3.0-or-later
#include "roll/frame_readings.hpp"

#include <utility>

#include "reading/metering.hpp"

namespace basefog::roll {
namespace {

/// As told, with what the ranges of the roll's scenes leave of the response's doubt.
reading::ReadingOptions reading_options(const RollFilm& film, const ReviewOptions& options) {
  reading::ReadingOptions reading = options.reading;
  reading.pattern = metering_of(options);
  if (film.scene_ranges) reading.response_sigma = film.scene_ranges->response_sigma;
  return reading;
}

}  // namespace

Aim aim_of(const film::FilmProfile& film, const ReviewOptions& options) {
  return {.q = options.aim_q, .k = options.aim_k, .film_speed = film.iso_speed};
}

MeteringPattern metering_of(const ReviewOptions& options) {
  const MeteringPattern told = options.reading.pattern;
  return told == MeteringPattern::unknown && options.camera ? options.camera->pattern : told;
}

FrameReadings read_frames(std::span<const ReferencedFrame> frames, const RollFilm& film,
                          const ReviewOptions& options) {
  const Aim aim = aim_of(film.profile, options);
  const reading::ReadingOptions reading = reading_options(film, options);
  FrameReadings readings(frames.size());
  for (std::size_t i = 0; i < frames.size(); ++i) {
    const ReferencedFrame& frame = frames[i];
    if (frame.state != density::FrameState::measured) continue;
    readings[i] = reading::read_frame(frame.measurement, frame.base, film.profile, aim, reading);
  }
  return readings;
}

FrameReadings read_again(FrameReadings first, std::span<const ReferencedFrame> frames,
                         const RollFilm& film, const ReviewOptions& options,
                         const MatchedLog& rows) {
  FrameReadings readings = film.by_series ? read_frames(frames, film, options) : std::move(first);
  const Aim aim = aim_of(film.profile, options);
  reading::ReadingOptions reading = reading_options(film, options);
  for (std::size_t i = 0; i < frames.size(); ++i) {
    const log::LogRow* row = rows.row_of(i);
    const auto named = row != nullptr ? reading::pattern_named(row->metering) : std::nullopt;
    if (!named || *named == metering_of(options) || !readings[i]) continue;
    reading.pattern = *named;
    readings[i] =
        reading::read_frame(frames[i].measurement, frames[i].base, film.profile, aim, reading);
  }
  return readings;
}

}  // namespace basefog::roll
