// SPDX-License-Identifier: GPL-3.0-or-later
#pragma once

#include <optional>
#include <span>
#include <string>
#include <vector>

#include "basefog/estimate.hpp"
#include "basefog/frame_reading.hpp"
#include "basefog/settings.hpp"
#include "basefog/shot_log.hpp"

namespace basefog {

/// One frame's deviation with what may explain it.
struct DeviationSample {
  Stops deviation;   ///< exposure - expected
  double sigma = 0;  ///< the frame's own standard deviation, stops: noise, pattern, clipping
  /// Sensitivities, in stops for one sigma, to what all frames of the roll share: contrast, toe and
  /// shoulder, response, base.
  ErrorBudget shared{};
  std::optional<ShutterTime> shutter;
  std::optional<FNumber> aperture;
  std::string lens;
  std::optional<ExposureMode> mode;
  std::optional<double> light_ev;  ///< scene EV at ISO 100
  std::string roll;
};

/// One effect beyond the camera's bias.
struct BiasEffect {
  std::string factor;  ///< shutter, aperture, lens, mode, light_level, roll
  std::string level;   ///< as marked: "1/500", "f/4"
  StopsEstimate stops;
  int frames = 0;
};

struct MeterBias {
  std::optional<StopsEstimate> bias;  ///< camera's, over all frames; positive over-exposes
  std::vector<BiasEffect> effects;
  std::vector<std::string> not_identifiable;  ///< sentences
  double scatter = 0;                         ///< estimated frame-to-frame noise, stops
  int frames_used = 0;
};

/// Fits the camera's bias to a roll or several. Empty bias with fewer than 3 samples.
MeterBias fit_meter_bias(std::span<const DeviationSample> samples);

}  // namespace basefog
