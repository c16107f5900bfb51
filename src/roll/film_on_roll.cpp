// SPDX-License-Identifier: GPL-3.0-or-later
#include "roll/film_on_roll.hpp"

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

RollFilm learn_from_series(std::span<const ReferencedFrame> frames, const MatchedLog& rows,
                           const film::FilmProfile& developed) {
  const std::vector<evidence::SeriesFrame> matched =
      series_frames(frames, rows, developed.reciprocity);
  const auto series = evidence::contrast_from_series(matched, developed);
  // A film test is surer than a short series; the series then only stands beside it.
  const bool surer = series && series->factor.two_sided() &&
                     series->film.contrast_relative_sigma < developed.contrast_relative_sigma;
  return {.profile = surer ? series->film : developed, .series = series, .by_series = surer};
}

}  // namespace basefog::roll
