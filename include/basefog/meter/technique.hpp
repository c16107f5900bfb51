// SPDX-License-Identifier: GPL-3.0-or-later
#pragma once

#include <optional>
#include <span>
#include <string>
#include <vector>

#include "basefog/core/estimate.hpp"
#include "basefog/log/log.hpp"
#include "basefog/reading/frame_reading.hpp"

namespace basefog::meter {

/// One frame's technique with what it belongs to.
struct TechniqueSample {
  Stops technique;   ///< correction + deviation: wanted beyond what was asked for
  Stops asked;       ///< asked for beyond the meter: compensation, used against metered settings
  double sigma = 0;  ///< the frame's own standard deviation, stops
  reading::ErrorBudget shared{};          ///< as in DeviationSample
  std::string scene;                      ///< as written in the log; empty: none
  std::optional<log::ExposureMode> mode;  ///< absent: not logged
  std::optional<std::size_t> place;       ///< as in DeviationSample
  std::string roll;                       ///< its name; frames of a roll share what is `shared`
};

/// What scenes of one kind need beyond a true meter.
struct SceneTechnique {
  std::string scene;                      ///< the word, as first written: "backlit"
  std::optional<log::ExposureMode> mode;  ///< absent: all modes together
  /// To dial beyond the meter, in all: mean of technique + asked, shrunk, 95 % interval.
  StopsEstimate stops;
  Stops asked;  ///< what was asked for beyond the meter, on average, so that the rest is technique
  int frames = 0;  ///< with this word
  /// Of these, frames that by themselves ask for the same direction, by a sixth of a stop and more.
  int agreeing = 0;
};

/// Scales of the priors, in stops.
struct TechniquePriors {
  double all = 0.5;      ///< all scenes together: how this photographer meters (judgement)
  double scene = 1.0;    ///< one kind of scene: snow and back light need 1 to 2 (common practice)
  double mode = 0.2;     ///< a scene in one mode against the same in another (judgement)
  double scatter = 0.6;  ///< one scene against another of its kind (judgement)
};

/// The words of a scene as they are compared, each once: "Back light; SNOW" is "back light",
/// "snow".
std::vector<std::string> scene_words(const std::string& scene);

/// Mean technique by scene word, and by word and mode where a word was met in several modes with at
/// least two frames each; words of the log in any case and spacing, several separated by commas
/// each on its own. Sorted by how much is needed. A word of a single frame counts too, with the
/// interval that one frame gives.
std::vector<SceneTechnique> fit_technique(std::span<const TechniqueSample> samples,
                                          const TechniquePriors& priors = {});

}  // namespace basefog::meter
