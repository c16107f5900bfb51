// SPDX-License-Identifier: GPL-3.0-or-later
#include "roll/film_choice.hpp"

#include <algorithm>
#include <map>

#include "basefog/core/film_facts.hpp"

namespace basefog::roll {
namespace {

constexpr FilmSpeed kWhenUnknown{100};  // stops against the aim do not depend on it

bool shows_orange_mask(std::span<const ReferencedFrame> frames) {
  return std::ranges::any_of(frames, [](const ReferencedFrame& frame) {
    const density::FilmBase& base = frame.measurement.rebate;
    return base.density.size() == 3 &&
           (base.density[2] - base.density[0]).value() > film_facts::kLeastMaskOfFilm;
  });
}

std::optional<FilmSpeed> most_used_index(const log::ShotLog& log) {
  std::map<FilmSpeed, int> rows;
  for (const log::LogRow& row : log.rows) {
    if (row.ei) ++rows[*row.ei];
  }
  if (rows.empty()) return std::nullopt;
  return std::max_element(rows.begin(), rows.end(),
                          [](const auto& a, const auto& b) { return a.second < b.second; })
      ->first;
}

/// The curve that earlier rolls of the film were read through, where it was a measured one.
std::shared_ptr<const film::FilmProfile> remembered_curve(const std::optional<log::ShotLog>& log,
                                                          const ReviewOptions& options) {
  const std::string& name =
      options.film_use.film.empty() && log ? log->film : options.film_use.film;
  if (!memory::names_a_film(name)) return nullptr;
  const std::optional<FilmSpeed> speed = options.film_speed ? options.film_speed
                                         : log              ? log->film_speed
                                                            : std::nullopt;
  return memory::measured_curve(options.lessons, speed ? memory::with_speed(name, *speed) : name);
}

film::FilmProfile kind_of_film(std::span<const ReferencedFrame> frames,
                               const std::optional<log::ShotLog>& log,
                               const ReviewOptions& options) {
  if (options.film) return *options.film;
  const bool masked = shows_orange_mask(frames);
  const auto remembered = remembered_curve(log, options);
  if (remembered && (remembered->kind == FilmKind::colour_negative) == masked) {
    return *remembered;
  }
  return masked ? film::generic_colour_negative(kWhenUnknown)
                : film::generic_black_and_white(kWhenUnknown);
}

}  // namespace

ChosenFilm choose_film(std::span<const ReferencedFrame> frames,
                       const std::optional<log::ShotLog>& log, const ReviewOptions& options) {
  ChosenFilm chosen{.profile = kind_of_film(frames, log, options)};
  film::FilmProfile& film = chosen.profile;
  const bool profile_states_speed = film.contrast_source != film::ContrastSource::generic;
  if (options.film_speed) {
    film.iso_speed = *options.film_speed;
    film.speed_measured = false;
  } else if (film.speed_measured) {
    // A measured speed stays: a log states the box speed only.
  } else if (log && log->film_speed) {
    film.iso_speed = *log->film_speed;
  } else if (!profile_states_speed) {
    const std::optional<FilmSpeed> index = log ? most_used_index(*log) : std::nullopt;
    film.iso_speed = index.value_or(kWhenUnknown);
    chosen.warnings.push_back(
        {std::nullopt, Flag::film_speed_assumed, AssumedSpeed{film.iso_speed, index.has_value()}});
  }
  return chosen;
}

}  // namespace basefog::roll
