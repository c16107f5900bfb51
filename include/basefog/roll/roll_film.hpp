// SPDX-License-Identifier: GPL-3.0-or-later
#pragma once

#include <optional>

#include "basefog/evidence/exposure_series.hpp"
#include "basefog/film/film_belief.hpp"
#include "basefog/film/film_profile.hpp"
#include "basefog/memory/film_memory.hpp"

namespace basefog::roll {

/// A film before anything on the roll spoke of it.
struct KnownFilm {
  film::FilmProfile form;     ///< as named or seen; what evidence counts from
  film::FilmProfile profile;  ///< as earlier rolls know it, else as the log asked for it developed
  film::FilmNumbers place{};  ///< of `profile` against `form`
  /// ln of its contrast against the film's as the log asked for it to be developed.
  double harder = 0;
  memory::FilmUse use;                       ///< film and development as written
  std::optional<memory::FilmMemory> memory;  ///< where earlier rolls say anything of it
};

/// The film that a roll's frames are read through, and what the roll itself said of it.
struct RollFilm {
  film::FilmProfile profile;  ///< after what series said
  film::FilmNumbers place{};  ///< of `profile` against the form
  /// What exposure series on the roll say of it; absent where there are none.
  std::optional<evidence::SeriesContrast> series;
  double harder = 0;            ///< as KnownFilm's, before the series
  bool by_series = false;       ///< they say more than was known before
  film::FilmEvidence evidence;  ///< of them, counted from the form
};

}  // namespace basefog::roll
