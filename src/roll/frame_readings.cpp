// SPDX-License-Identifier: GPL-3.0-or-later
#include "roll/frame_readings.hpp"

#include <utility>

#include "basefog/ensemble/roll_reading.hpp"
#include "reading/metering.hpp"
#include "roll/asked_exposure.hpp"

namespace basefog::roll {
namespace {

/// What is known of a measured frame before it is read.
ensemble::FrameToRead frame_to_read(std::size_t i, const ReferencedFrame& frame,
                                    const film::FilmProfile& film, const ReviewOptions& options,
                                    const MatchedLog& rows) {
  ensemble::FrameToRead to_read{&frame.measurement, &frame.base, options.reading, {}};
  to_read.options.pattern = metering_of(options);
  const log::LogRow* row = rows.row_of(i);
  if (row == nullptr) return to_read;
  if (const auto named = reading::pattern_named(row->metering)) to_read.options.pattern = *named;
  // A log that may be another roll's, and a row that may be another frame's, say nothing of a film.
  if (rows.shows_the_camera() && !rows.is_doubtful(i)) to_read.asked = asked_on_film(*row, film);
  return to_read;
}

}  // namespace

Aim aim_of(const film::FilmProfile& film, const ReviewOptions& options) {
  return {.q = options.aim_q, .k = options.aim_k, .film_speed = film.iso_speed};
}

MeteringPattern metering_of(const ReviewOptions& options) {
  const MeteringPattern told = options.reading.pattern;
  return told == MeteringPattern::unknown && options.camera ? options.camera->pattern : told;
}

RollReadings read_frames(std::span<const ReferencedFrame> frames, const film::FilmProfile& film,
                         const ReviewOptions& options, const MatchedLog& rows) {
  RollReadings readings{
      FrameReadings(frames.size()), {1, 1, 1}, {}, std::vector<ensemble::KeptFrame>(frames.size())};
  std::vector<std::size_t> places;
  std::vector<ensemble::FrameToRead> to_read;
  for (std::size_t i = 0; i < frames.size(); ++i) {
    if (frames[i].state != density::FrameState::measured) continue;
    places.push_back(i);
    to_read.push_back(frame_to_read(i, frames[i], film, options, rows));
  }
  if (places.empty()) return readings;
  ensemble::RollReading read = ensemble::read_roll(to_read, film, aim_of(film, options));
  for (std::size_t k = 0; k < places.size(); ++k) {
    readings.frames[places[k]] = std::move(read.frames[k]);
    readings.kept[places[k]] = {std::move(read.kept[k]), to_read[k].asked};
  }
  readings.contrast = read.contrast;
  readings.evidence = read.evidence;
  return readings;
}

}  // namespace basefog::roll
