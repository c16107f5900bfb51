// SPDX-License-Identifier: GPL-3.0-or-later
#pragma once

#include <span>
#include <vector>

#include "basefog/reading/frame_reading.hpp"
#include "reading/metering.hpp"
#include "reading/net_densities.hpp"

namespace basefog::reading {

/// What the layers of a colour film say one by one, and how they differ.
struct LayerReadings {
  std::vector<LayerReading> layers;
  std::optional<LightColour> light_colour;
  /// One layer's shadows are below its speed point while those of both others are above their speed
  /// points, by a stop and more.
  bool one_starved = false;
};

/// Reads each layer through its own curve, from its own speed point. Empty where the film or the
/// scan has not three layers. aim: where it lies on the film.
LayerReadings read_layers(const NetDensities& densities, const film::FilmProfile& film,
                          std::span<const PossibleMetering> meterings, ExposureAboveSpeedPoint aim,
                          bool base_clipped);

}  // namespace basefog::reading
