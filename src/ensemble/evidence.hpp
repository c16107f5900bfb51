// SPDX-License-Identifier: GPL-3.0-or-later
// What a roll says for one member against another, as natural logs of likelihoods. Formulas and
// reasons are in roll_reading.hpp.
#pragma once

#include <span>

namespace basefog::ensemble {

/// Of net density above the most that the film can have; 0 or less is none.
double log_of_density(double too_dense);

/// A scene's range between its percentiles, stops; at_least: an end is lost in clear film or beyond
/// film or scan.
struct Range {
  double stops = 0;
  bool at_least = false;
};
/// Ranges below 0.3 stop, of an even wall, count as that.
double log_of_ranges(std::span<const Range> ranges);

/// A frame's exposure less what its row asked for, stops, and ln of the stops by which the exposure
/// rises with a density of 1.
struct Deviation {
  double stops = 0;
  double log_slope = 0;
};
/// Fewer than 3 frames say nothing: 0.
double log_of_agreement(std::span<const Deviation> deviations);

}  // namespace basefog::ensemble
