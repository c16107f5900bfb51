// SPDX-License-Identifier: GPL-3.0-or-later
#pragma once

#include <optional>
#include <string>
#include <string_view>
#include <vector>

#include "basefog/core/units.hpp"
#include "basefog/film/film_profile.hpp"
#include "basefog/log/camera.hpp"
#include "basefog/meter/meter_bias.hpp"
#include "basefog/meter/technique.hpp"

namespace basefog::roll {

enum class AdviceKind {
  nothing_to_change,
  dial_exposure_index,  ///< set: the EI to dial
  allow_for_speed,      ///< set: the speed, stops: what to add or take
  avoid_speed,          ///< set: the speed, too far off to allow for
  allow_for_aperture,   ///< set: the f-number, stops: what to add or take
  check_lens,           ///< set: the lens
  check_meter,          ///< cell or battery: the error changes with the light or over months
  metering,             ///< set: a scene word, stops: what to add for it
  service,              ///< have the camera looked at rather than correct for it
  scanning,             ///< how to scan so that more can be told
  test_next,            ///< what to shoot to settle what is open
  caution,              ///< what the other advice holds for
};
std::string_view name_of(AdviceKind kind);

/// One thing to do next time. Only where an interval supports it.
struct Advice {
  AdviceKind kind;
  std::string text;            ///< a sentence in ordinary words
  std::optional<Stops> stops;  ///< the correction, positive for more exposure
  std::string set;       ///< what to dial: "EI 250", "compensation -1/3", "1/500"; may be empty
  std::string evidence;  ///< "-0.5 (-0.7 to -0.3) over 24 frames"; may be empty
};

/// All that advice rests on: of one roll, or of all rolls of a camera.
struct AdviceBasis {
  film::FilmProfile film;
  std::optional<log::Camera> camera;  ///< what its file says, where one was given
  /// The exposure index that the camera was dialled to; absent: the film's own speed.
  std::optional<FilmSpeed> dialled;
  std::optional<meter::MeterBias> meter;
  std::vector<meter::SceneTechnique> techniques;
  std::size_t frames = 0;
  std::size_t frames_without_zero = 0;  ///< of these, frames with no density zero
};

/// Advice, most important first.
std::vector<Advice> advise(const AdviceBasis& basis);

}  // namespace basefog::roll
