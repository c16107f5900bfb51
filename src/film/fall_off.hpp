// SPDX-License-Identifier: GPL-3.0-or-later
#pragma once

#include <array>
#include <span>
#include <vector>

namespace basefog {

/// Slow change of the light over a scan, as density: a surface of second order that is zero at the
/// scan's centre.
struct FallOff {
  int width = 1;   ///< blocks
  int height = 1;  ///< blocks
  /// Of x, y, x², xy, y², with x and y from -1 to 1 over the scan.
  std::array<double, 5> coefficient{};

  double at(double x, double y) const;  ///< at a place in blocks
};

/// Blocks of one tone, whose density would be the same everywhere under even light.
struct ToneSample {
  double x;  ///< blocks
  double y;  ///< blocks
  float density;
  int tone;  ///< 0 or 1: samples of each have a level of their own
};

/// Least squares of a surface shared by the tones; `quadratic` false leaves it a plane. No samples,
/// or too few to tell, give a flat one.
FallOff fit_fall_off(std::span<const ToneSample> samples, int width, int height, bool quadratic);

}  // namespace basefog
