// SPDX-License-Identifier: GPL-3.0-or-later
#pragma once

#include <optional>

#include "basefog/evidence/exposure_series.hpp"
#include "basefog/film/film_profile.hpp"

namespace basefog::roll {

/// The film that a roll's frames are read through, and what the roll itself said of it.
struct RollFilm {
  film::FilmProfile profile;  ///< curves, speed and how sure they are
  /// What exposure series on the roll say of it; absent where there are none.
  std::optional<evidence::SeriesContrast> series;
  bool by_series = false;  ///< `profile` is what they found
};

}  // namespace basefog::roll
