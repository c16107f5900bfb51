// SPDX-License-Identifier: GPL-3.0-or-later
#pragma once

#include <memory>
#include <span>
#include <vector>

#include "basefog/units.hpp"

namespace basefog {

/// One point of a characteristic curve: exposure relative to the film's speed point.
struct CurvePoint {
  Stops exposure;      ///< above the speed point
  NetDensity density;  ///< above base + fog
};

/// Numbers that describe a curve when its points are not known.
struct CurveShape {
  /// Density of the speed point above base + fog: 0.10 (black-and-white), 0.15 (colour negative).
  double speed_density = 0.10;
  /// Rise of density over the 1.30 log H above the speed point; 0.80 in ISO 6.
  double rise_over_1_30 = 0.80;
  /// How slowly the toe bends, in log H from base to straight line; larger is longer.
  double toe_width = 0.35;
  /// Stops above the speed point at which the shoulder begins, and how fast it bends.
  double shoulder_start = 8.0;
  double shoulder_width = 0.35;
};

/// A film's characteristic curve: net density against exposure relative to the speed point,
/// strictly rising over its domain, continuous with its first derivative.
class CharacteristicCurve {
 public:
  /// Shape-keeping curve through measured points, which must rise in exposure and not fall in
  /// density; at least 4. Throws InputError (malformed) otherwise.
  static CharacteristicCurve from_points(std::span<const CurvePoint> points);
  /// Throws InputError (malformed) for a shape with no rising curve.
  static CharacteristicCurve from_shape(const CurveShape& shape);

  /// Net density at an exposure. Below the domain: base (0 approached); above it: the top density.
  NetDensity density(Stops exposure) const;
  /// dD / dlog10 H at an exposure; 0 outside the domain.
  double gradient(Stops exposure) const;
  /// Exposure for a net density. Clamped to lowest() and highest(), where the gradient still
  /// carries information; never extrapolated.
  Stops exposure(NetDensity density) const;

  Stops lowest() const;           ///< least exposure that a density can still tell
  Stops highest() const;          ///< most exposure that a density can still tell
  Stops highlight_limit() const;  ///< where the gradient has fallen to half of its mid-scale value
  /// Mean gradient between the speed point and 1.30 log H above it (0.615 for ISO 6 development).
  double average_gradient() const;

  /// The same film developed to `factor` times the contrast, the speed point staying.
  CharacteristicCurve with_contrast(double factor) const;
  std::span<const CurvePoint> points() const;

 private:
  std::vector<CurvePoint> points_;
  std::vector<double> slopes_;
};

}  // namespace basefog
