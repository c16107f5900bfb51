// SPDX-License-Identifier: GPL-3.0-or-later
#pragma once

#include <optional>
#include <span>
#include <string>
#include <vector>

#include "basefog/meter_bias.hpp"
#include "numeric/mixed_model.hpp"

namespace basefog {

/// The linear model that explains deviations, and what each of its columns stands for.
struct BiasDesign {
  struct Effect {
    std::string factor;
    std::string level;
    int column = 0;  ///< in model.global
    int frames = 0;
  };

  MixedModel model;
  int camera_column = 0;
  std::vector<Effect> effects;     ///< global effects beyond the camera's bias
  std::vector<std::string> rolls;  ///< the blocks
  std::optional<int> roll_column;  ///< in model.local; absent for a single roll
};

/// One column for the camera, one for each marked speed and aperture in use, one for each lens and
/// mode where there are two or more, one for the light level where it spans at least 4 EV; per
/// roll, the errors that its frames share. samples must not be empty.
BiasDesign design_bias_model(std::span<const DeviationSample> samples, const BiasPriors& priors);

}  // namespace basefog
