// SPDX-License-Identifier: GPL-3.0-or-later
#pragma once

#include <span>

#include "basefog/area/film_area.hpp"

namespace basefog::area {

// How the scanner's light falls off over a scan, from places that would have one density under even
// light: clear film, bare light.
//
// Formula. A place at x, y, both scaled to -1 ... 1 over the scan, that shows tone t (0 or 1) has
// the density
//
//   D = level_t + c1 x + c2 y + c3 x^2 + c4 x y + c5 y^2 + noise      (plane: c3 = c4 = c5 = 0)
//
// Levels and c in density. Least squares over n places, with a prior that the light is even:
//
//   minimise  sum of (D - model)^2 + n w (c1^2 + ... + c5^2),   w = kEvenWeight = 1e-4
//
// The fall-off is the part with c alone, so it is 0 at the middle of the scan. With C the inverse
// of the normal equations' matrix, the fitted density at a place with row r is off by s sqrt(r' C r
// / 0.01) for samples of spread s of which one in a hundred is independent. A shape is supported
// where that stays below 0.71 s (r' C r / 0.01 < 0.5) at every corner of every frame.
//
// Assumes. Both tones fall off alike, as light does in density; noise is alike everywhere;
// neighbouring places share grain, dust and flare (one in a hundred independent: judgement).
//
// Costs. n additions of a 7 x 7 matrix, twice at most, and one inverse; a corner costs 49
// multiplications.
//
// Accurate. A drawn surface comes back to 0.001 density (LightFallOff.finds_a_drawn_surface); on
// drawn scans, whose lamps fall off by up to 4 %, area_study (tests/validation) measures the base.
//
// Fails. Under 50 samples, or where no shape is supported over the frames, the answer is an even
// light (all c zero): LightFallOff.narrow_samples_support_less. Places that are no plain tone pull
// the surface; the caller leaves them out and fits again (fall_off_around in film_area.cpp).
//
// Source. Ridge regression; shape, weight and support are ours (judgement).

/// A place of one tone, whose density would be the same everywhere under even light.
struct ToneSample {
  double x;
  double y;
  float density;
  int tone;  ///< 0 or 1: samples of each have a level of their own
};

enum class FallOffShape { plane, quadratic };

/// The surface of one shape over a picture of a width and height in the samples' unit. Even with
/// fewer than 50 samples.
LightFallOff fit_fall_off(std::span<const ToneSample> samples, double width, double height,
                          FallOffShape shape);

/// The fullest shape that the samples support over all regions. Even where they support none.
LightFallOff fit_supported_fall_off(std::span<const ToneSample> samples, double width,
                                    double height, std::span<const FrameRegion> regions);

}  // namespace basefog::area
