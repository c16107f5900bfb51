// SPDX-License-Identifier: GPL-3.0-or-later
#pragma once

#include <optional>
#include <string>

#include "basefog/core/enum_array.hpp"
#include "basefog/film/film_profile.hpp"

namespace basefog::film {

/// By what a film in its development may differ from a form of curve, that of a generic film or of
/// a profile.
enum class FilmParameter {
  contrast,       ///< natural logarithm of the average gradient against the form's
  toe,            ///< longer, stops a stop (CharacteristicCurve::with_toe)
  shoulder,       ///< farther up, stops (CharacteristicCurve::with_shoulder)
  red_gradient,   ///< colour film: of the red layer, beside `contrast`, natural logarithm
  red_place,      ///< its curve farther up the axis, stops
  blue_gradient,  ///< the same of the blue layer
  blue_place,     ///< as red_place
  upper_part  ///< softer above ISO 6's triangle, as a share (CharacteristicCurve::with_upper_part)
};
constexpr FilmParameter last_of(FilmParameter) { return FilmParameter::upper_part; }

/// One number for each parameter.
using FilmNumbers = EnumArray<FilmParameter, double>;
/// One row for each parameter; covariances and information are symmetric.
using FilmMatrix = EnumArray<FilmParameter, FilmNumbers>;

/// Parameter by parameter.
FilmNumbers sum(const FilmNumbers& a, const FilmNumbers& b);

/// A normal distribution of what a film may be.
struct FilmBelief {
  FilmNumbers mean{};       ///< against the form
  FilmMatrix covariance{};  ///< positive definite

  double sigma(FilmParameter parameter) const;  ///< standard deviation
  friend bool operator==(const FilmBelief&, const FilmBelief&) = default;
};

/// What frames say of their film p: a likelihood proportional to exp(toward' p - p' information p /
/// 2). All zero says nothing.
struct FilmEvidence {
  FilmMatrix information{};  ///< symmetric, no eigenvalue below zero
  FilmNumbers toward{};      ///< information times the p that it speaks for

  FilmEvidence& operator+=(const FilmEvidence& other);
  friend bool operator==(const FilmEvidence&, const FilmEvidence&) = default;
};

/// Whether these numbers can be evidence: finite, symmetric, no eigenvalue below zero but by
/// rounding.
bool is_evidence(const FilmEvidence& evidence);

/// The same evidence where its parameters were counted from a film that itself lies at `place`.
FilmEvidence counted_from(FilmEvidence evidence, const FilmNumbers& place);

/// What a profile says of itself: nothing but its own sigmas about zero.
FilmBelief belief_in(const FilmProfile& form);

/// The belief after evidence (normal distributions multiplied).
FilmBelief given(const FilmBelief& belief, const FilmEvidence& evidence);

/// What must have been said for one belief to become the other; directions in which it became less
/// sure say nothing.
FilmEvidence evidence_between(const FilmBelief& before, const FilmBelief& after);

/// Name and curves of a form in one word: the same for the same curves, whatever speed and sigmas
/// are. Curves are taken to 0.001 of density.
std::string fingerprint(const FilmProfile& form);

/// The generic film of a fingerprint, at ISO 100; nothing for that of a profile.
std::optional<FilmProfile> generic_form(const std::string& fingerprint);

/// The form moved to the belief's mean, with the belief's sigmas. Correlations are left out, which
/// makes intervals wider. Contrast within a factor of e, toes and shoulders within what curves can
/// be (film_facts); the contrast's source stays.
FilmProfile believed(const FilmProfile& form, const FilmBelief& belief);

}  // namespace basefog::film
