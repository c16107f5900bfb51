// SPDX-License-Identifier: GPL-3.0-or-later
#pragma once

#include <optional>
#include <string>
#include <string_view>

#include "basefog/core/exposure_point.hpp"
#include "basefog/core/settings.hpp"
#include "basefog/log/log.hpp"

namespace basefog::log {

/// How bright a scene is by what a log calls it, as exposure values at ISO 100: what an exposure
/// table gives for such light, before any difference between subjects.
struct SceneLight {
  double lowest_ev = 0;   ///< at ISO 100
  double highest_ev = 0;  ///< at ISO 100
  std::string words;      ///< the words that say so: "night, snow"
  friend bool operator==(const SceneLight&, const SceneLight&) = default;
};

/// A frame's mean may lie so far from what a table gives for its light: subjects are darker or
/// lighter than a mid-tone, and a part of the frame may be lit otherwise. Stops, common practice.
inline constexpr double kSubjectSpread = 2;

/// Darkest and brightest scenes that people photograph by their own light: a landscape under a
/// quarter moon is -6, snow in full sun 16 [PH2.7]; with kSubjectSpread around them.
inline constexpr double kDarkestSceneEv = -8;
inline constexpr double kBrightestSceneEv = 18;  ///< at ISO 100

/// What words say of the light; nothing where no word for light is among them. Words in English,
/// any case; longer phrases count before the words in them ("night sports" is no moonlit night),
/// and "no sun" says nothing of the sun. Where several agree the range is what they have in common
/// ("snow, overcast"), where they do not it spans both ("street, from shade to sun").
std::optional<SceneLight> scene_light_of(std::string_view words);

/// The same for a row's scene and note. Nothing with flash or without a picture.
std::optional<SceneLight> scene_light_of(const LogRow& row);

/// The scene's exposure value at ISO 100, by the settings used and the exposure measured.
///
/// Settings (t, N) on film of speed S are right for a scene of EV_set = log2(N²/t) - log2(S/100):
/// such a scene gives the aim, exposure 0. A scene brighter by x stops gives x stops more exposure,
/// so the scene is EV_set + exposure. A filter that takes f stops, or film that loses r stops to
/// reciprocity, showed less than there was: the scene is brighter by f + r. S is the film's speed;
/// the index dialled moves settings, not the scene.
///
/// exposure: relative to the aim, with its interval, which the result takes over; the shutter's and
/// the lens's own error come on top. Absent without both settings, with flash or without a picture.
std::optional<StopsEstimate> scene_ev_100(const LogRow& row, FilmSpeed film_speed,
                                          const Estimate<ExposureFromAim>& exposure,
                                          Stops reciprocity_loss = Stops(0));

/// True where the whole interval of a scene's EV lies outside what the words allow, kSubjectSpread
/// included. An interval open towards the words' range never disagrees.
bool words_disagree(const SceneLight& words, const StopsEstimate& scene_ev);

/// Words that cannot be true of a scene, and what it was instead.
struct SceneContradiction {
  SceneLight words;        ///< what the row says
  StopsEstimate scene_ev;  ///< what settings and film say, EV at ISO 100
  friend bool operator==(const SceneContradiction&, const SceneContradiction&) = default;
};

/// Where a row's words cannot be true of its scene, both; else nothing.
std::optional<SceneContradiction> scene_contradiction(const LogRow& row,
                                                      const StopsEstimate& scene_ev);

}  // namespace basefog::log
