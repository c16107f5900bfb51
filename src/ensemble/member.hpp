// SPDX-License-Identifier: GPL-3.0-or-later
#pragma once

#include <cstddef>
#include <span>
#include <vector>

#include "basefog/core/enum_array.hpp"

namespace basefog::ensemble {

/// What a roll's frames share and nobody measured, each in standard deviations of its prior.
enum class Latent {
  speed,           ///< the film slower than its box or its test says; moves the exposure alone
  base,            ///< base + fog denser than measured, where all frames have one zero
  response,        ///< true density differences larger than read
  contrast,        ///< the film harder than its profile says
  toe,             ///< its toe longer
  upper_gradient,  ///< softer above ISO 6's triangle
  shoulder,        ///< its shoulder farther up
  red_gradient,    ///< colour film: the red layer harder than the green one
  red_place,       ///< and farther up the axis
  blue_gradient,   ///< the same of the blue layer
  blue_place
};
constexpr Latent last_of(Latent) { return Latent::blue_place; }

/// One complete story of a roll: where its film and its scans lie within what is not known.
struct Member {
  EnumArray<Latent, double> z{};  ///< standard normal by the prior
  double metering = 0.5;          ///< evenly from 0 to 1: which of the possible meterings
  std::size_t number = 0;         ///< in order of drawing
  double log_density = 0;  ///< of the draw that it comes from, against the prior's, at this place
};

/// `count` members from the prior, by a low-discrepancy sequence [Halton1960], the same on every
/// run.
std::vector<Member> draw_from_prior(std::size_t count);

/// As many again where the weights lie: from a normal distribution with the weighted mean of
/// `members` and 1.3 times their spread, weights tempered until an eighth of them count. Members of
/// both draws are then weighed against the mixture of both: log_density of all is set to it.
/// Latents that are not `used` stay as by the prior.
void draw_again(std::vector<Member>& members, std::span<const double> log_likelihood,
                const EnumArray<Latent, bool>& used);

}  // namespace basefog::ensemble
