// SPDX-License-Identifier: GPL-3.0-or-later
#pragma once

#include <span>
#include <vector>

namespace basefog::film {

/// A curve of unit gradient with toe and shoulder over x = log10 H:
///
///   gradient(x) = 1 / (1 + exp(-(x - toe) / toe_width)) / (1 + exp(-(shoulder - x) /
///   shoulder_width)) density(x)  = integral of the gradient from minus infinity to x
///
/// Without the shoulder, density is toe_width ln(1 + exp((x - toe) / toe_width)) [PhotrioSoftplus].
struct ToeAndShoulder {
  /// Span over which the integral is taken at a time, log H; far shorter than the widths in use.
  static constexpr double kSpan = 0.02;

  double toe;             ///< where the toe alone would have half the gradient
  double toe_width;       ///< > 0
  double shoulder;        ///< where the shoulder alone would have half the gradient
  double shoulder_width;  ///< > 0

  double gradient(double x) const;
  /// Integral of the gradient, three-point Gauss-Legendre; for spans of about kSpan.
  double rise(double from, double to) const;
  /// Integral of the gradient from minus infinity.
  double density(double x) const;
  /// The same at rising places, in one go.
  std::vector<double> densities(std::span<const double> rising) const;
};

}  // namespace basefog::film
