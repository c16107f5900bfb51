// SPDX-License-Identifier: GPL-3.0-or-later
#pragma once

#include <span>

#include "basefog/film/film_belief.hpp"
#include "ensemble/member.hpp"

namespace basefog::ensemble {

// What a roll says of its film, apart from what was known before.
//
// Formula. The logarithm of the likelihood L of members z is fitted by a quadratic,
//
//   ln L(z) = a + b' z - z' C z / 2,
//
// by least squares weighted with the members' own weights, tempered until a third of them counts,
// and a ridge that pulls what few members show toward nothing. Latents that are not the film's (its
// scans', and what no later roll is read by) are integrated over by their prior. Directions in
// which C is not positive say nothing.
//
// Assumes. The likelihood is near a normal one where its weight lies.
//
// Costs. n members and k latents in use: one n x (k + 1)(k + 2) / 2 least squares, 66 columns for
// colour.
//
// Accurate. FilmEvidence tests: a quadratic is found to its digits, and rolls on tables of a film
// developed otherwise find its contrast within what they say.
//
// Fails. Where few members carry the weight it says less than the roll does, by the ridge.

/// counted from the profile that the members were drawn about.
film::FilmEvidence film_evidence(std::span<const Member> members,
                                 std::span<const double> log_likelihood,
                                 const EnumArray<Latent, bool>& used,
                                 const film::FilmProfile& film);

}  // namespace basefog::ensemble
