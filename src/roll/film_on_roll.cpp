// SPDX-License-Identifier: GPL-3.0-or-later
#include "roll/film_on_roll.hpp"

#include <utility>
#include <vector>

#include "basefog/film/development.hpp"

namespace basefog::roll {
namespace {

std::vector<evidence::SeriesFrame> series_frames(std::span<const ReferencedFrame> frames,
                                                 const MatchedLog& rows,
                                                 const film::Reciprocity& reciprocity) {
  std::vector<evidence::SeriesFrame> series;
  for (std::size_t i = 0; i < frames.size(); ++i) {
    const density::FrameMeasurement& measurement = frames[i].measurement;
    const log::LogRow* row = rows.row_of(i);
    if (frames[i].state != density::FrameState::measured || row == nullptr) continue;
    if (rows.is_doubtful(i)) continue;
    series.push_back(
        {&measurement, &frames[i].base, evidence::logged_exposure(*row, reciprocity),
         measurement.label.empty() ? measurement.file.filename().string() : measurement.label});
  }
  return series;
}

}  // namespace

film::FilmProfile developed_as_asked(const film::FilmProfile& film,
                                     const std::optional<log::ShotLog>& log) {
  const std::optional<Stops> push = log ? log::asked_push(*log) : std::nullopt;
  return push ? film::developed(film, *push) : film;
}

RollFilm weigh_scene_ranges(std::span<const ReferencedFrame> frames,
                            const film::FilmProfile& film) {
  std::vector<evidence::RangeFrame> measured;
  for (const ReferencedFrame& frame : frames) {
    if (frame.state == density::FrameState::measured) {
      measured.push_back({&frame.measurement, &frame.base});
    }
  }
  if (measured.empty()) return {.profile = film};
  const evidence::SceneRanges ranges = evidence::contrast_from_ranges(measured, film);
  return {.profile = ranges.film, .scene_ranges = ranges};
}

RollFilm learn_from_series(std::span<const ReferencedFrame> frames, const MatchedLog& rows,
                           const film::FilmProfile& developed, RollFilm weighed) {
  const std::vector<evidence::SeriesFrame> matched =
      series_frames(frames, rows, weighed.profile.reciprocity);
  const auto series = evidence::contrast_from_series(matched, developed);
  // A film test is surer than a short series; the series then only stands beside it.
  const bool surer = series && series->factor.two_sided() &&
                     series->film.contrast_relative_sigma < developed.contrast_relative_sigma;
  RollFilm film = surer ? weigh_scene_ranges(frames, series->film) : std::move(weighed);
  film.series = series;
  film.by_series = surer;
  return film;
}

}  // namespace basefog::roll
