// SPDX-License-Identifier: GPL-3.0-or-later
#include "basefog/film/development.hpp"

#include <cmath>

#include "basefog/core/film_facts.hpp"
namespace basefog::film {
FilmProfile developed(const FilmProfile& film, Stops push) {
  if (film.contrast_was_found() || push.value() == 0) return film;
  FilmProfile result = film.with_contrast(std::pow(film_facts::kPushGradientFactor, push.value()));
  result.contrast_relative_sigma =
      std::hypot(film.contrast_relative_sigma, film_facts::kPushGradientSigma * push.value());
  return result;
}

}  // namespace basefog::film
