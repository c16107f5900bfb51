// SPDX-License-Identifier: GPL-3.0-or-later
#include "basefog/film/development.hpp"

#include <cmath>

namespace basefog::film {
namespace {

constexpr double kGradientFactorPerStop = 1.2;
constexpr double kRelativeSigmaPerStop = 0.08;

}  // namespace

FilmProfile developed(const FilmProfile& film, Stops push) {
  if (film.contrast_was_found() || push.value() == 0) return film;
  FilmProfile result = film.with_contrast(std::pow(kGradientFactorPerStop, push.value()));
  result.contrast_relative_sigma =
      std::hypot(film.contrast_relative_sigma, kRelativeSigmaPerStop * push.value());
  return result;
}

}  // namespace basefog::film
