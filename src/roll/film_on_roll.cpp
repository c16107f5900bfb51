// SPDX-License-Identifier: GPL-3.0-or-later
#include "roll/film_on_roll.hpp"

#include <fmt/format.h>

#include <algorithm>
#include <cmath>
#include <string>
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

}  // namespace

void allow_for_push(Analysis& analysis) {
  if (const auto push = asked_push(analysis.log)) {
    analysis.film = film::developed(analysis.film, *push);
  }
}

void describe_film(Analysis& analysis) {
  const film::FilmProfile& film = analysis.film;
  if (analysis.series) analysis.film_notes = analysis.series->notes;
  const std::optional<Stops> push = asked_push(analysis.log);
  const bool measured = film.contrast_was_found();
  // ISO 6 fixes a development for black-and-white film alone.
  if (measured && film.kind != FilmKind::colour_negative) {
    analysis.film_notes.push_back(development_note(film, push));
  } else if (push && push->value() != 0 && !measured) {
    analysis.film_notes.push_back(
        fmt::format("The log asks for {}, so the average gradient is taken to be {:.2f}, uncertain "
                    "by {:.0f} %.",
                    stops_of(*push), film.layers[film.layers.size() / 2].curve.average_gradient(),
                    100 * film.contrast_relative_sigma));
  }
}

void weigh_scene_ranges(Analysis& analysis, reading::ReadingOptions& reading) {
  std::vector<evidence::RangeFrame> frames;
  for (const FrameResult& frame : analysis.frames) {
    if (frame.state == density::FrameState::measured) {
      frames.push_back({&frame.measurement, &frame.reference});
    }
  }
  if (frames.empty()) return;
  analysis.scene_ranges = evidence::contrast_from_ranges(frames, analysis.film);
  analysis.film = analysis.scene_ranges->film;
  reading.response_sigma = analysis.scene_ranges->response_sigma;
}

bool learn_film(Analysis& analysis, const film::FilmProfile& chosen) {
  if (!analysis.log) return false;
  std::vector<evidence::SeriesFrame> frames;
  for (const FrameResult& frame : analysis.frames) {
    if (frame.state != density::FrameState::measured || !frame.log_row) continue;
    if (frame.flags.contains(Flag::match_doubtful)) continue;
    const log::LogRow& row = analysis.log->rows[*frame.log_row];
    frames.push_back({&frame.measurement, &frame.reference,
                      evidence::logged_exposure(row, analysis.film.reciprocity),
                      frame.measurement.label.empty() ? frame.measurement.file.filename().string()
                                                      : frame.measurement.label});
  }
  analysis.series = evidence::contrast_from_series(frames, chosen);
  if (!analysis.series || !analysis.series->factor.two_sided()) return false;
  // A film test is surer than a short series; the series then only stands beside it.
  if (analysis.series->film.contrast_relative_sigma >= chosen.contrast_relative_sigma) {
    return false;
  }
  analysis.film = analysis.series->film;
  return true;
}

}  // namespace basefog::roll
