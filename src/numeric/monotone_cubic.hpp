// SPDX-License-Identifier: GPL-3.0-or-later
#pragma once

#include <span>
#include <vector>

namespace basefog::numeric {

/// Slopes that make the cubic Hermite interpolant of (x, y) monotone wherever y is: the weighted
/// harmonic mean of the neighbouring secants, and a three-point formula at the ends, cut back where
/// it would overshoot [FritschButland]. x strictly rising, at least 2 points, y of the same size.
std::vector<double> monotone_slopes(std::span<const double> x, std::span<const double> y);

/// Cuts slopes back to at most three times the smaller neighbouring secant and to no less than
/// zero, which is enough for a rising cubic interpolant [FritschCarlson]. y not falling.
void limit_slopes(std::span<const double> x, std::span<const double> y, std::span<double> slopes);

/// One piece of a cubic Hermite interpolant, over t from 0 to width.
struct CubicPiece {
  double width;
  double y0, y1;  ///< values at its ends
  double m0, m1;  ///< slopes at its ends

  double value(double t) const;
  double slope(double t) const;
  /// The t with value(t) = y, for a rising piece and y between y0 and y1 (clamped to it): Newton
  /// kept inside a bracket, to double rounding.
  double inverse(double y) const;
};

}  // namespace basefog::numeric
