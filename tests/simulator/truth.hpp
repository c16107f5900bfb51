// SPDX-License-Identifier: GPL-3.0-or-later
#pragma once

#include <nlohmann/json_fwd.hpp>
#include <string>

#include "simulator/camera.hpp"
#include "simulator/film.hpp"
#include "simulator/layout.hpp"

namespace simulator {

/// What really happened in one frame, from the light on the film and nothing else. Stops.
struct FrameTruth {
  /// log2 of the metered mean of H against q K / S for the speed on the box, by metering pattern,
  /// and by the camera's own. Reciprocity taken off, as the film sees it.
  double exposure = 0;
  double exposure_average = 0;
  double exposure_centre_weighted = 0;
  double exposure_spot = 0;
  /// Percentiles 2 and 98 of log H on measuring apertures above this very film's speed point.
  double shadow_reserve = 0;
  double highlight_reach = 0;
  /// Limit of the film (slope half of mid-scale) minus highlight_reach. What the scan itself can
  /// hold is not in it.
  double highlight_room = 0;
  double correction = 0;
  std::string verdict;
  double lost_in_shadows = 0;     ///< share of the frame below the speed point
  double lost_in_highlights = 0;  ///< share of the frame above the limit
  double least_loss = 0;          ///< share of the frame lost after the correction
};

/// Log10 H on measuring apertures, one value each: luminance of H averaged over squares of 1/72 of
/// the picture's long side.
std::vector<double> aperture_log_h(const cv::Mat& exposure);

/// The exposure must not be all dark.
FrameTruth truth_of(const Shot& shot, const Film& film, const Meter& meter = {});

/// Verdict of a correction: |c| < 1/2 well_exposed, from 1 1/2 stops strongly_...
std::string verdict_of(double correction);

/// A frame's record for truth.json: its settings, answers and place.
nlohmann::ordered_json record(const Shot& shot, const FrameTruth& truth);
nlohmann::ordered_json record(const FrameOutline& outline);

}  // namespace simulator
