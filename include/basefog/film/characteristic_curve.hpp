// SPDX-License-Identifier: GPL-3.0-or-later
#pragma once

#include <optional>
#include <span>
#include <vector>

#include "basefog/core/film_facts.hpp"
#include "basefog/core/units.hpp"

namespace basefog::film {

/// One point of a characteristic curve: exposure relative to the film's speed point.
struct CurvePoint {
  Stops exposure;      ///< above the speed point
  NetDensity density;  ///< above base + fog
};

/// Numbers that describe a curve when its points are not known. The gradient is a rising logistic
/// function of log H (the toe) times a falling one (the shoulder). Without shoulder the curve is
/// D = a ln(1 + exp(b x + c)), a published form [PhotrioSoftplus].
struct CurveShape {
  /// Density that defines the speed point: 0.10 (black-and-white), 0.15 (colour negative).
  double speed_density = film_facts::kIso6SpeedDensity.value();
  /// Where this layer reaches it, relative to the film's own speed point.
  Stops threshold{0.0};
  /// Rise of density over the 1.30 log H above there; 0.80 in ISO 6.
  double rise_over_1_30 = film_facts::kIso6Rise;
  /// How slowly the toe bends: log H over which the gradient grows e-fold at its foot.
  double toe_width = film_facts::kSilverToeWidth;
  /// Stops above the film's speed point at which the gradient has fallen to half, and over how
  /// much log H it falls e-fold beyond.
  Stops shoulder = film_facts::kSilverShoulder;
  double shoulder_width = film_facts::kSilverShoulderWidth;  ///< log H
};

/// A film's characteristic curve: net density against exposure relative to the speed point,
/// strictly rising over its domain, continuous with its first derivative. A curve whose first point
/// is above base runs out into base as an exponential, which density() shows and exposure() never
/// inverts.
class CharacteristicCurve {
 public:
  /// Shape-keeping curve through points, which must rise in exposure and not fall in density; at
  /// least 4, of which 3 must differ in density, within 100 stops of zero. Throws InputError
  /// (malformed) otherwise.
  static CharacteristicCurve from_points(std::span<const CurvePoint> points);
  /// Accurate to 5e-6 in density against the closed form without shoulder
  /// (Analytic.from_shape_matches_PhotrioSoftplus). Throws InputError (malformed) for a shape with
  /// no rising curve.
  static CharacteristicCurve from_shape(const CurveShape& shape);

  /// Net density at an exposure. Below the domain: base (0 approached); above it: the top density.
  NetDensity density(Stops exposure) const;
  /// dD / dlog10 H at an exposure; 0 outside the domain.
  double gradient(Stops exposure) const;
  /// Exposure for a net density: exposure(density(x)) is x within 1e-9 stop from lowest() to
  /// highest() (CharacteristicCurve.exposure_roundtrips_to_1e_9). Densities beyond those are
  /// clamped to them; never extrapolated.
  Stops exposure(NetDensity density) const;

  /// The exposure that gives a density, anywhere between the first and the last point given,
  /// however flat the curve is there; empty elsewhere.
  std::optional<Stops> where(NetDensity density) const;
  Stops first() const { return first_; }  ///< least exposure of the points given that still rise
  Stops last() const { return last_; }    ///< greatest of them

  /// Least exposure that can be read from a density: where the gradient has fallen to a fifth of
  /// the average gradient (about a stop below the speed point on usual films), or the first point.
  Stops lowest() const { return lowest_; }
  /// Most exposure that can be read from a density: where the gradient has fallen to a fifth of the
  /// mid-scale gradient, or the last point.
  Stops highest() const { return highest_; }
  /// Where the gradient has fallen to half of its mid-scale value, or the last point.
  Stops highlight_limit() const { return highlight_limit_; }
  /// False where the points end before the gradient falls to half, so that the limit is only known
  /// to be at least what highlight_limit() says.
  bool shoulder_seen() const { return shoulder_seen_; }
  /// Mean gradient dD/dlog10 H from 0.5 to 1.5 log H above the speed point.
  double mid_scale_gradient() const { return mid_scale_gradient_; }
  /// Mean gradient between the speed point and 1.30 log H above it (0.615 for ISO 6 development).
  double average_gradient() const;

  /// The same film developed to `factor` (> 0) times the average gradient; the density at the speed
  /// point stays. Densities are scaled and the exposure axis moved to hold the speed point. Throws
  /// std::invalid_argument for another factor.
  CharacteristicCurve with_contrast(double factor) const;
  /// The same curve with its straight line longer by `shift` (shorter where negative): the gradient
  /// falls to half that much later. Below 1.30 log H above the speed point nothing changes.
  CharacteristicCurve with_shoulder(Stops shift) const;
  /// The same curve with a longer toe: a density that stood for an exposure one stop below the
  /// speed point stands for one 1 + lengthening stops below it, and so in proportion. The speed
  /// point and the density 1.30 log H above it stay, between them the toe fades out. lengthening
  /// > -0.6 and < 2; throws std::invalid_argument otherwise.
  CharacteristicCurve with_toe(double lengthening) const;

  /// The same curve with a softer upper part: above 1.30 log H from the speed point every density
  /// takes `stretch` (> 0) times as much more exposure. Throws std::invalid_argument for another
  /// stretch.
  CharacteristicCurve with_upper_part(double stretch) const;

  /// The same curve with exposures counted from `zero`, as from a layer's own speed point.
  CharacteristicCurve counted_from(Stops zero) const;

  /// The knots of the curve with the run-out into base.
  std::span<const CurvePoint> points() const { return points_; }

 private:
  CharacteristicCurve(std::vector<CurvePoint> points, std::vector<double> slopes, Stops first,
                      Stops last);
  std::size_t piece_at(Stops exposure) const;
  Stops inverse(NetDensity density) const;  ///< over all knots, the run-out too
  void find_limits();
  Stops where_gradient_falls_to(double gradient, Stops from, Stops to) const;

  std::vector<CurvePoint> points_;
  std::vector<double> slopes_;  ///< density a stop at each point
  Stops first_;                 ///< of the points that were given
  Stops last_;
  Stops lowest_;
  Stops highest_;
  Stops highlight_limit_;
  double mid_scale_gradient_ = 0;
  bool shoulder_seen_ = false;
};

}  // namespace basefog::film
