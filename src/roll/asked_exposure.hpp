// SPDX-License-Identifier: GPL-3.0-or-later
#pragma once

#include <optional>

#include "basefog/core/exposure_point.hpp"
#include "basefog/film/film_profile.hpp"
#include "basefog/film/reciprocity.hpp"
#include "basefog/log/log.hpp"

namespace basefog::roll {

/// What the film loses at the row's exposure time.
inline film::ReciprocityLoss loss_of(const log::LogRow& row, const film::FilmProfile& film) {
  return row.used.shutter ? film::reciprocity_loss(film.reciprocity, exact(*row.used.shutter))
                          : film::ReciprocityLoss{};
}

/// What a row asked for, the film's loss at long times taken off; absent where it does not say.
inline std::optional<ExposureFromAim> asked_on_film(const log::LogRow& row,
                                                    const film::FilmProfile& film) {
  const auto expected = log::expected_exposure(row, film.iso_speed);
  if (!expected) return std::nullopt;
  return *expected - loss_of(row, film).loss;
}

}  // namespace basefog::roll
