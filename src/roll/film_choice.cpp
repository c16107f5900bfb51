// SPDX-License-Identifier: GPL-3.0-or-later
#include "roll/film_choice.hpp"

#include <algorithm>
#include <map>

namespace basefog::roll {
namespace {

/// The orange mask: clear colour negative film is this much denser to blue than to red. Published
/// minimum densities differ by 0.64 to 0.77 [KodakE4050, KodakE4051, KodakE4046]; gray film by next
/// to nothing.
constexpr double kMaskDensity = 0.35;

constexpr FilmSpeed kWhenUnknown{100};

bool shows_orange_mask(std::span<const ReferencedFrame> frames) {
  return std::ranges::any_of(frames, [](const ReferencedFrame& frame) {
    const density::FilmBase& base = frame.measurement.rebate;
    return base.density.size() == 3 && (base.density[2] - base.density[0]).value() > kMaskDensity;
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

film::FilmProfile kind_of_film(std::span<const ReferencedFrame> frames,
                               const ReviewOptions& options) {
  if (options.film) return *options.film;
  return shows_orange_mask(frames) ? film::generic_colour_negative(kWhenUnknown)
                                   : film::generic_black_and_white(kWhenUnknown);
}

Warning speed_warning(FilmSpeed speed, bool from_log) {
  Warning warning = make_warning(std::nullopt, Flag::film_speed_assumed);
  warning.text =
      (from_log ? "Nobody stated the film's own speed, so it was taken to be ISO "
                : "Nobody stated the film's speed, so it was taken to be ISO ") +
      as_marked(speed) +
      (from_log ? ", as most of the log's rows were exposed: a deliberate index on every "
                  "frame would pass unseen."
                : ". Stops against the aim do not depend on it; lux-seconds do.");
  return warning;
}

}  // namespace

ChosenFilm choose_film(std::span<const ReferencedFrame> frames,
                       const std::optional<log::ShotLog>& log, const ReviewOptions& options) {
  ChosenFilm chosen{.profile = kind_of_film(frames, options)};
  film::FilmProfile& film = chosen.profile;
  const bool profile_states_speed = options.film && options.film->contrast_source != "generic";
  if (options.film_speed) {
    film.iso_speed = *options.film_speed;
    film.speed_measured = false;
  } else if (film.speed_measured) {
    // What a log says is on the box.
  } else if (log && log->film_speed) {
    film.iso_speed = *log->film_speed;
  } else if (!profile_states_speed) {
    const std::optional<FilmSpeed> index = log ? most_used_index(*log) : std::nullopt;
    film.iso_speed = index.value_or(kWhenUnknown);
    chosen.warnings.push_back(speed_warning(film.iso_speed, index.has_value()));
  }
  return chosen;
}

}  // namespace basefog::roll
