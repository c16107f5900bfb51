// SPDX-License-Identifier: GPL-3.0-or-later
#pragma once

#include <memory>
#include <span>
#include <string>
#include <string_view>
#include <vector>

#include "basefog/core/settings.hpp"
#include "basefog/film/film_belief.hpp"
#include "basefog/memory/film_use.hpp"

namespace basefog::memory {

// What earlier rolls say of a film.
//
// Formula. A film in its development lies at q against a form of curve; each roll of it at
// p_r = q + w_r, where the w_r wander with a diagonal covariance W. A roll's evidence
// exp(b' p - p' C p / 2), integrated over its wander, is evidence on q with
//
//   C' = C (I + W C)^-1,    b' = (I + C W)^-1 b
//
// and evidence adds up. The prior of q is the form's own, less W. Rolls of another development
// count shifted by kinship_of and with its spread added to W. How far contrast wanders is learned:
// five factors of W from a half to two, each weighed by the likelihood of the rolls one after the
// other and a normal prior of its logarithm with 0.5. The next roll has the covariance of q, plus
// W.
//
// A roll is odd where it lies farther from all the others than one in two hundred would: chi square
// of b - C mu against C + C S C, mu and S of a next roll by the others [Mardia1979]. Odd rolls are
// left out, the worst first; where no fewer are odd than are not, nothing is believed.
//
// Assumes. Parameters add up along the axis that FilmParameter names; rolls are independent.
//
// Costs. A 7 x 7 inverse a roll and factor; of more than 40 rolls the newest 40 count.
//
// Accurate. FilmMemory tests: conjugate normal distributions in closed form, six published times of
// one film, and drawn rolls that wander by known amounts.
//
// Fails. Two films under one name that differ by less than a roll says of its film are averaged.

/// What one roll said of its film.
struct FilmLesson {
  std::string roll;             ///< its name
  std::string camera;           ///< its name; may be empty
  std::string date;             ///< ISO 8601; may be empty
  FilmUse use;                  ///< film and development
  FilmSpeed film_speed{100};    ///< as the roll was read
  std::string form;             ///< film::fingerprint of the form that the evidence counts from
  film::FilmEvidence evidence;  ///< counted from the form
  /// The form itself; nothing where it was not kept.
  std::shared_ptr<const film::FilmProfile> profile{};
  friend bool operator==(const FilmLesson&, const FilmLesson&) = default;
};

/// What is remembered of a film in one development.
struct FilmMemory {
  film::FilmBelief film;            ///< the film itself, its mean roll
  film::FilmBelief roll;            ///< a next roll of it
  double wander = 0;                ///< from roll to roll, of the contrast, natural logarithm
  std::vector<std::string> rolls;   ///< of this development that were used
  std::vector<std::string> others;  ///< of other developments that were used
  std::vector<std::string> odd;     ///< that do not fit the others
  std::string as_named;  ///< the film's name on the last of them, where it is spelled otherwise

  /// False where no roll was used.
  bool says_anything() const { return !rolls.empty() || !others.empty(); }
};

/// What lessons on the same film and form say of `use`; those of other films are passed over. form:
/// what its profile says before.
FilmMemory recall(std::span<const FilmLesson> lessons, const FilmUse& use,
                  const film::FilmProfile& form);

/// The measured curve, from a film test or a data sheet, that the newest of a film's rolls was read
/// through; nothing where generic ones were. film: its name.
std::shared_ptr<const film::FilmProfile> measured_curve(std::span<const FilmLesson> lessons,
                                                        std::string_view film);

/// Whether a roll is farther from what was believed of it than one in two hundred.
bool is_unlike(const film::FilmBelief& roll, const film::FilmEvidence& evidence);

/// A film measured on one roll as it may be on the next: a measured speed less sure by what rolls
/// differ by (film_facts), a film test's curve by the wander of both rolls.
film::FilmProfile on_another_roll(const film::FilmProfile& measured, const FilmUse& use);

}  // namespace basefog::memory
