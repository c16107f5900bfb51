// SPDX-License-Identifier: GPL-3.0-or-later
#pragma once

#include <optional>

#include "basefog/core/exposure_point.hpp"
#include "basefog/film/film_profile.hpp"
#include "basefog/log/log.hpp"

namespace basefog::roll {

/// What the film loses at the row's exposure time.
film::ReciprocityLoss loss_of(const log::LogRow& row, const film::FilmProfile& film);

/// What a row asked for, the film's loss at long times taken off; absent where it does not say.
std::optional<ExposureFromAim> asked_on_film(const log::LogRow& row, const film::FilmProfile& film);

}  // namespace basefog::roll
