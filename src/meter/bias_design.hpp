// SPDX-License-Identifier: GPL-3.0-or-later
#pragma once

#include <optional>
#include <span>
#include <string>
#include <vector>

#include "basefog/meter/meter_bias.hpp"
#include "numeric/mixed_model.hpp"

namespace basefog::meter {

inline constexpr double kDaysPerYear = 365.25;  // Julian

/// The linear model that explains deviations, and what each of its columns stands for.
struct BiasDesign {
  struct Effect {
    BiasFactor factor{};
    std::string level;
    int column = 0;  ///< in model.global
    int frames = 0;
  };
  struct Roll {
    std::string name;
    std::optional<double> day;
    int frames = 0;
  };
  /// Between two rolls, in the order of their dates: the bias before is lower by it.
  struct Jump {
    int column = 0;
    double day = 0;           ///< of the roll after it
    std::string before_roll;  ///< its name
  };

  numeric::MixedModel model;
  int camera_column = 0;
  std::vector<Effect> effects;      ///< global effects beyond the camera's bias
  std::vector<Roll> rolls;          ///< the blocks
  std::optional<int> roll_column;   ///< in model.local; absent for a single roll
  std::optional<int> drift_column;  ///< stops a year; absent with few or undated rolls
  std::vector<Jump> jumps;
  double first_day = 0;
  double last_day = 0;
};

/// One column for the camera as it is at the last roll, one for each marked speed, aperture, lens,
/// mode and film where there are two or more of the kind, one for the light level where
/// it spans at least 4 EV, drift and jumps where dated rolls show them; per roll, and over rolls,
/// the errors that frames share. samples must not be empty.
BiasDesign design_bias_model(std::span<const DeviationSample> samples, const BiasPriors& priors);

}  // namespace basefog::meter
