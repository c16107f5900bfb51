// SPDX-License-Identifier: GPL-3.0-or-later
#include "roll/film_on_roll.hpp"

#include <cmath>
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

KnownFilm as_if_new(const KnownFilm& film, const std::optional<log::ShotLog>& log,
                    const std::string& roll) {
  const film::FilmProfile& form = film.form;
  const bool of_another_roll = form.measured_on.empty() || form.measured_on != roll;
  KnownFilm known{.form = form,
                  .profile = developed_as_asked(
                      of_another_roll ? memory::on_another_roll(form, film.use) : form, log),
                  .use = film.use};
  const auto gradient = [](const film::FilmProfile& one) {
    return one.layers[one.layers.size() / 2].curve.average_gradient();
  };
  known.place[film::FilmParameter::contrast] = std::log(gradient(known.profile) / gradient(form));
  return known;
}

KnownFilm known_film(const ChosenFilm& chosen, const std::optional<log::ShotLog>& log,
                     const ReviewOptions& options, const std::string& roll) {
  const film::FilmProfile& form = chosen.profile;
  KnownFilm film{.form = form, .use = options.film_use};
  if (log) {
    if (film.use.film.empty()) film.use.film = log->film;
    if (film.use.developed.empty()) film.use.developed = log->developed;
    film.use.push = log::asked_push(*log).value_or(Stops(0));
  }
  // The name's label is the box speed, whatever a film test measured.
  const bool speed_stated = chosen.warnings.empty();
  const FilmSpeed label = log && log->film_speed ? *log->film_speed : form.iso_speed;
  if (speed_stated) film.use.film = memory::with_speed(film.use.film, label);
  KnownFilm known = as_if_new(film, log, roll);
  // A film test of this very roll needs no other to speak for it.
  if (!form.measured_on.empty() && form.measured_on == roll) return known;
  std::vector<memory::FilmLesson> others = options.lessons;
  const std::string camera = options.camera ? options.camera->name : log ? log->camera : "";
  std::erase_if(others, [&](const memory::FilmLesson& one) {
    return one.roll == roll && one.camera == camera;
  });
  const film::FilmProfile& before = form.contrast_was_found() ? known.profile : form;
  memory::FilmMemory memory = memory::recall(others, known.use, before);
  if (memory.says_anything()) {
    known.profile = film::believed(form, memory.roll);
    known.profile.contrast_source = film::ContrastSource::remembered;
    known.harder = (memory.roll.mean[film::FilmParameter::contrast] -
                    known.place[film::FilmParameter::contrast]);
    known.place = memory.roll.mean;
  }
  if (memory.says_anything() || !memory.odd.empty()) known.memory = std::move(memory);
  return known;
}

RollFilm learn_from_series(std::span<const ReferencedFrame> frames, const MatchedLog& rows,
                           const KnownFilm& known) {
  const std::vector<evidence::SeriesFrame> matched =
      series_frames(frames, rows, known.profile.reciprocity);
  const auto series = evidence::contrast_from_series(matched, known.profile);
  if (!series) return {.profile = known.profile, .place = known.place, .harder = known.harder};
  return {.profile = series->film,
          .place = film::sum(known.place, series->place),
          .series = series,
          .harder = known.harder,
          .by_series = series->film.contrast_source == film::ContrastSource::series,
          .evidence = film::counted_from(series->evidence, known.place)};
}

}  // namespace basefog::roll
