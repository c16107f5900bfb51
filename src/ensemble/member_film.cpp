// SPDX-License-Identifier: GPL-3.0-or-later
#include "ensemble/member_film.hpp"

#include <algorithm>

#include "basefog/core/film_facts.hpp"

namespace basefog::ensemble {
namespace {

enum Layer : std::size_t { kRed, kGreen, kBlue, kLayers };

reading::AssumedErrors errors_of(const Member& member, double gradient_sigmas) {
  reading::AssumedErrors errors;
  errors.contrast = member.z[Latent::contrast] + gradient_sigmas;
  errors.toe = member.z[Latent::toe];
  errors.upper_gradient = member.z[Latent::upper_gradient];
  errors.shoulder = member.z[Latent::shoulder];
  return errors;
}

}  // namespace

MemberFilm::MemberFilm(const film::FilmProfile& film, const Member& member) : member_(member) {
  slower_ = Stops(member.z[Latent::speed] *
                  (film.speed_measured ? film.speed_sigma_stops : film_facts::kBoxSpeedSigma));
  constexpr double kLeastSigma = 1e-6;
  const double per_sigma =
      film.layer_gradient_sigma / std::max(film.contrast_relative_sigma, kLeastSigma);
  for (std::size_t l = 0; l < film.layers.size(); ++l) {
    double gradient_z = 0;
    double place_z = 0;
    if (film.layers.size() == kLayers && l != kGreen) {
      gradient_z = member.z[l == kRed ? Latent::red_gradient : Latent::blue_gradient];
      place_z = member.z[l == kRed ? Latent::red_place : Latent::blue_place];
    }
    curves_.emplace_back(film.layers[l].curve, film, errors_of(member, gradient_z * per_sigma));
    place_.emplace_back(place_z * film.layer_place_sigma);
  }
}

EnumArray<Latent, bool> latents_of(bool colour) {
  EnumArray<Latent, bool> used;
  used.values.fill(true);
  for (const Latent latent :
       {Latent::red_gradient, Latent::red_place, Latent::blue_gradient, Latent::blue_place}) {
    used[latent] = colour;
  }
  return used;
}

}  // namespace basefog::ensemble
