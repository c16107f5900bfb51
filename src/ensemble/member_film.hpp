// SPDX-License-Identifier: GPL-3.0-or-later
#pragma once

#include <vector>

#include "basefog/film/film_profile.hpp"
#include "ensemble/member.hpp"
#include "reading/film_exposures.hpp"

namespace basefog::ensemble {

/// The film of one member: the film as given with its curve varied by the member's latents, each by
/// the sigma that the profile states for it.
class MemberFilm {
 public:
  MemberFilm(const film::FilmProfile& film, const Member& member);

  const Member& member() const { return member_; }
  const reading::InverseCurve& curve(std::size_t layer) const { return curves_[layer]; }
  /// How far a layer's curve lies up the axis from where the profile has it.
  Stops place(std::size_t layer) const { return place_[layer]; }
  Stops slower() const { return slower_; }  ///< than its speed says

 private:
  Member member_;
  std::vector<reading::InverseCurve> curves_;
  std::vector<Stops> place_;
  Stops slower_;
};

/// The latents that make a difference on frames of this film; colour: read in three layers.
EnumArray<Latent, bool> latents_of(bool colour);

}  // namespace basefog::ensemble
