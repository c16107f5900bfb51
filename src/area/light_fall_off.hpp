// SPDX-License-Identifier: GPL-3.0-or-later
#pragma once

#include <span>

#include "basefog/area/film_area.hpp"

namespace basefog::area {

/// A place of one tone, whose density would be the same everywhere under even light.
struct ToneSample {
  double x;
  double y;
  float density;
  int tone;  ///< 0 or 1: samples of each have a level of their own
};

enum class FallOffShape { plane, quadratic };

/// Least squares of a surface shared by the tones, over a picture of a width and height in the
/// samples' unit. Too few samples give an even one.
LightFallOff fit_fall_off(std::span<const ToneSample> samples, double width, double height,
                          FallOffShape shape);

/// The fullest shape that the samples support over a region: how far the surface may be off there,
/// for samples of which one in a hundred is independent, stays below their own spread.
/// Even where they support none.
LightFallOff fit_supported_fall_off(std::span<const ToneSample> samples, double width,
                                    double height, std::span<const FrameRegion> regions);

}  // namespace basefog::area
