// SPDX-License-Identifier: GPL-3.0-or-later
#include "roll/asked_exposure.hpp"

#include "basefog/film/reciprocity.hpp"

namespace basefog::roll {

film::ReciprocityLoss loss_of(const log::LogRow& row, const film::FilmProfile& film) {
  return row.used.shutter ? film::reciprocity_loss(film.reciprocity, exact(*row.used.shutter))
                          : film::ReciprocityLoss{};
}

std::optional<ExposureFromAim> asked_on_film(const log::LogRow& row,
                                             const film::FilmProfile& film) {
  const auto expected = log::expected_exposure(row, film.iso_speed);
  if (!expected) return std::nullopt;
  return *expected - loss_of(row, film).loss;
}

}  // namespace basefog::roll
