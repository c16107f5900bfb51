// SPDX-License-Identifier: GPL-3.0-or-later
#include "roll/film_on_roll.hpp"

#include <fmt/format.h>

#include <algorithm>
#include <cmath>
#include <string>
#include <utility>
#include <vector>

#include "basefog/film/development.hpp"
#include "basefog/film/sensitometry.hpp"

namespace basefog::roll {
namespace {

/// What the lab was asked for: a roll is developed as one, so the middle of what the rows say.
std::optional<Stops> asked_push(const std::optional<log::ShotLog>& log) {
  std::vector<Stops> asked;
  if (log) {
    for (const log::LogRow& row : log->rows) {
      if (row.push) asked.push_back(*row.push);
    }
  }
  if (asked.empty()) return std::nullopt;
  std::sort(asked.begin(), asked.end());
  return asked[asked.size() / 2];
}

std::string stops_of(Stops push) {
  const double size = std::abs(push.value());
  return fmt::format("{} by {:.3g} {}", push.value() > 0 ? "pushing" : "pulling", size,
                     size > 1 ? "stops" : "stop");
}

/// How the film was developed, from a gradient that was measured; what pushing makes is no fault.
std::string development_note(const film::FilmProfile& film, std::optional<Stops> push) {
  const double gradient = film.layers.front().curve.average_gradient();
  const double half = kNormal975 * film.contrast_relative_sigma * gradient;
  const std::string range = fmt::format(" ({:.2f} to {:.2f})", gradient - half, gradient + half);
  const std::string source = fmt::format(" by the {}.", name_of(film.contrast_source));
  const bool certain = film::development_of(gradient) == film::development_of(gradient - half) &&
                       film::development_of(gradient) == film::development_of(gradient + half);
  if (!certain) {
    return fmt::format("Average gradient {:.2f}{}{} ISO 6 development makes 0.58 to 0.65.",
                       gradient, range, source);
  }
  std::string text = film::describe_development(gradient, push);
  text = (text.starts_with("developed") ? "The film was " + text : "The film has " + text) + range;
  if (push && push->value() != 0 && film::development_of(gradient) == film::Development::normal) {
    text += ", although the log asks for " + stops_of(*push);
  }
  return text + "," + source;
}

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
  const std::optional<Stops> push = asked_push(log);
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

std::vector<std::string> film_notes(const RollFilm& film, const std::optional<log::ShotLog>& log) {
  std::vector<std::string> notes;
  if (film.series) notes = film.series->notes;
  const film::FilmProfile& profile = film.profile;
  const std::optional<Stops> push = asked_push(log);
  const bool measured = profile.contrast_was_found();
  // ISO 6 fixes a development for black-and-white film alone.
  if (measured && profile.kind != FilmKind::colour_negative) {
    notes.push_back(development_note(profile, push));
  } else if (push && push->value() != 0 && !measured) {
    notes.push_back(fmt::format(
        "The log asks for {}, so the average gradient is taken to be {:.2f}, uncertain "
        "by {:.0f} %.",
        stops_of(*push), profile.layers[profile.layers.size() / 2].curve.average_gradient(),
        100 * profile.contrast_relative_sigma));
  }
  return notes;
}

}  // namespace basefog::roll
