// SPDX-License-Identifier: GPL-3.0-or-later
#include "basefog/film/film_profile.hpp"

#include <array>

#include "basefog/core/film_facts.hpp"
#include "basefog/film/sensitometry.hpp"
#include "core/name_list.hpp"

namespace basefog::film {
namespace {

template <class Variation>
FilmProfile with_each_layer(FilmProfile film, const Variation& vary) {
  for (FilmLayer& layer : film.layers) layer.curve = vary(layer.curve);
  return film;
}

}  // namespace

std::string_view name_of(ContrastSource source) {
  return name_in(std::to_array<std::string_view>(
                     {"generic", "series on the roll", "film test", "profile", "remembered rolls"}),
                 source);
}

LogExposure FilmProfile::speed_point() const {
  const double at_one = kind == FilmKind::colour_negative ? film_facts::kIso5800SpeedExposure
                                                          : film_facts::kIso6SpeedExposure;
  return LogExposure::from_lux_seconds(at_one / iso_speed.iso());
}

FilmProfile FilmProfile::with_contrast(double factor) const {
  return with_each_layer(*this, [&](const auto& curve) { return curve.with_contrast(factor); });
}

FilmProfile FilmProfile::with_shoulder(Stops shift) const {
  return with_each_layer(*this, [&](const auto& curve) { return curve.with_shoulder(shift); });
}

FilmProfile FilmProfile::with_toe(double lengthening) const {
  return with_each_layer(*this, [&](const auto& curve) { return curve.with_toe(lengthening); });
}

}  // namespace basefog::film
