// SPDX-License-Identifier: GPL-3.0-or-later
#pragma once

#include <optional>
#include <string>
#include <string_view>

#include "basefog/core/settings.hpp"
#include "basefog/core/units.hpp"

namespace basefog::memory {

/// A film and how it was developed, as somebody wrote them: "film:" and "developed:" above a log.
struct FilmUse {
  std::string film;       ///< empty: not named, so that nothing is known of it
  std::string developed;  ///< may be empty: as always
  Stops push{0};          ///< development asked for beyond normal; negative for a pull
  friend bool operator==(const FilmUse&, const FilmUse&) = default;
};

/// A development as understood.
struct Development {
  std::string words;              ///< developer, dilution and the like, in one form
  std::optional<double> minutes;  ///< absent: not said
  std::optional<double> celsius;  ///< likewise
  bool by_lab = false;            ///< a lab is named
};

/// "9 min at 20 C", "7:30, 24 C, 1+50", "lab". Times as 9 min, 9', 9'30" or 7:30, where 1:50 and
/// the like are dilutions; temperatures in C or F. What is not understood stays in words.
Development read_development(std::string_view text);

/// Whether a text names a film: "ISO 400" is none.
bool names_a_film(std::string_view text);

/// The name with the film's speed, where it has none itself: a speed at the end of a name is its
/// label and no part of it, so that "Harbour Pan" of ISO 400 is "Harbour Pan 400".
std::string with_speed(const std::string& film, FilmSpeed speed);

/// Names that differ in case, signs, "ISO" and a slip of the pen: a letter changed, added or left
/// out of five and more, two of ten and more. Numbers must be the same. What names no film is the
/// same as none.
bool is_same_film(std::string_view a, std::string_view b);

/// What is known of a development from another one of the same film.
struct Kinship {
  bool same = false;        ///< as one to the times' and temperatures' own exactness
  double log_contrast = 0;  ///< by which the first is harder than the second, natural logarithm
  double log_contrast_sigma = 0;  ///< of that; beyond what two rolls alike differ by
};

/// Times differ at one developer and temperature: contrast grows as a power of the time
/// (film_facts). Anything else differs: developments at large.
Kinship kinship_of(const FilmUse& a, const FilmUse& b);

}  // namespace basefog::memory
