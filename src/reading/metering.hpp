// SPDX-License-Identifier: GPL-3.0-or-later
#pragma once

#include <optional>
#include <string_view>
#include <vector>

#include "basefog/reading/frame_reading.hpp"

namespace basefog::reading {

/// One way in which the camera may have metered, with its probability.
struct PossibleMetering {
  double probability = 1;
  std::vector<double> weight;  ///< one per aperture, row by row; sums to 1
};

/// Weights of a metering pattern over a frame of columns x rows apertures (each >= 1), row by row,
/// summing to 1.
/// - average: the same everywhere.
/// - centre_weighted: 65 % evenly over a central disc of a third of the long side (12 mm on 36 mm),
///   35 % evenly over the rest. Cameras put 60 to 75 % on a disc of 8 to 13 mm: common practice.
/// - spot: evenly over a disc of 0.16 of the long side (3 % of a 36 x 24 mm frame) about the
///   spot's place; in-camera spots take 1.5 to 4 %: common practice. At least the nearest aperture.
std::vector<double> metering_weights(MeteringPattern pattern, int columns, int rows,
                                     double spot_x = 0.5, double spot_y = 0.5);

/// The pattern that a log or a scan's metadata name: "spot", "centre-weighted", "average". Nothing
/// for patterns of many fields, which no weights here are like.
std::optional<MeteringPattern> pattern_named(std::string_view words);

/// The patterns that the options leave possible. Where nothing is known: average and
/// centre-weighted alike; a spot only where the options say that the camera has one.
std::vector<PossibleMetering> possible_meterings(const ReadingOptions& options, int columns,
                                                 int rows);

}  // namespace basefog::reading
