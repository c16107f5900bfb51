// SPDX-License-Identifier: GPL-3.0-or-later
#pragma once

#include <cmath>
#include <compare>

namespace basefog {

/// log10(2): one stop on the log10 exposure axis.
inline constexpr double kLog10PerStop = 0.30102999566398119521;

/// A difference or ratio of exposure, in stops (log2). Positive always means more exposure.
/// Any finite value; arithmetic is exact to double rounding.
class Stops {
 public:
  constexpr Stops() = default;
  constexpr explicit Stops(double stops) : stops_(stops) {}  ///< any finite number
  /// From a difference on the log10 exposure axis.
  static constexpr Stops from_log10(double log10_ratio) {
    return Stops(log10_ratio / kLog10PerStop);
  }
  /// From an exposure ratio > 0; -inf for 0, NaN below.
  static Stops from_ratio(double ratio) { return Stops(std::log2(ratio)); }

  constexpr double value() const { return stops_; }                  ///< stops
  constexpr double log10() const { return stops_ * kLog10PerStop; }  ///< log10 of the ratio
  double ratio() const { return std::exp2(stops_); }                 ///< of exposures, > 0

  constexpr Stops operator-() const { return Stops(-stops_); }
  constexpr Stops& operator+=(Stops other) { return *this = *this + other; }
  constexpr Stops& operator-=(Stops other) { return *this = *this - other; }
  friend constexpr Stops operator+(Stops a, Stops b) { return Stops(a.stops_ + b.stops_); }
  friend constexpr Stops operator-(Stops a, Stops b) { return Stops(a.stops_ - b.stops_); }
  friend constexpr Stops operator*(Stops a, double k) { return Stops(a.stops_ * k); }
  friend constexpr Stops operator*(double k, Stops a) { return a * k; }
  friend constexpr Stops operator/(Stops a, double k) { return Stops(a.stops_ / k); }
  friend constexpr auto operator<=>(Stops, Stops) = default;

 private:
  double stops_ = 0;
};

inline Stops abs(Stops s) { return Stops(std::abs(s.value())); }  ///< how much, whichever the sign

/// An exposure on the film: a point on the log10(lux·s) axis.
/// Two points subtract to Stops; a point plus Stops is a point; two points cannot be added.
class LogExposure {
 public:
  /// From log10 of lux·s.
  static constexpr LogExposure from_log10(double log10_lux_seconds) {
    return LogExposure(log10_lux_seconds);
  }
  /// From an exposure > 0 in lux·s; -inf for 0, NaN below.
  static LogExposure from_lux_seconds(double lux_seconds) {
    return LogExposure(std::log10(lux_seconds));
  }

  constexpr double log10() const { return log10_; }              ///< of lux·s
  double lux_seconds() const { return std::pow(10.0, log10_); }  ///< > 0

  friend constexpr Stops operator-(LogExposure a, LogExposure b) {
    return Stops::from_log10(a.log10_ - b.log10_);
  }
  friend constexpr LogExposure operator+(LogExposure a, Stops s) {
    return LogExposure(a.log10_ + s.log10());
  }
  friend constexpr LogExposure operator-(LogExposure a, Stops s) { return a + (-s); }
  friend constexpr auto operator<=>(LogExposure, LogExposure) = default;

 private:
  constexpr explicit LogExposure(double log10) : log10_(log10) {}
  double log10_;
};

/// A difference of two densities with one zero, or the standard deviation of one (base-10).
class DensityDifference {
 public:
  constexpr DensityDifference() = default;
  constexpr explicit DensityDifference(double density) : density_(density) {}  ///< base-10

  constexpr double value() const { return density_; }  ///< base-10

  friend constexpr DensityDifference operator*(DensityDifference d, double k) {
    return DensityDifference(d.density_ * k);
  }
  friend constexpr auto operator<=>(DensityDifference, DensityDifference) = default;

 private:
  double density_ = 0;
};

/// Optical density of a place on the film: D = -log10 T [ISO5-1]. A point: two densities subtract
/// to a difference. The zero is whatever light the scan calls 1, so only differences within one
/// scan are film densities unless the bare light is known.
class Density {
 public:
  /// From a density that is known; nothing is checked.
  static constexpr Density from_value(double density) { return Density(density); }
  /// From a transmittance > 0; +inf for 0, NaN below.
  static Density from_transmittance(double transmittance) {
    return Density(-std::log10(transmittance));
  }

  constexpr double value() const { return density_; }  ///< base-10
  /// T > 0; above 1 for a negative density.
  double transmittance() const { return std::pow(10.0, -density_); }

  friend constexpr DensityDifference operator-(Density a, Density b) {
    return DensityDifference(a.density_ - b.density_);
  }
  friend constexpr Density operator+(Density a, DensityDifference d) {
    return Density(a.density_ + d.value());
  }
  friend constexpr auto operator<=>(Density, Density) = default;

 private:
  constexpr explicit Density(double density) : density_(density) {}
  double density_;
};

/// Density above base + fog: 0 is clear film. Two subtract to a difference; `scaled` is what a
/// development of another contrast makes of it.
class NetDensity {
 public:
  constexpr NetDensity() = default;
  constexpr explicit NetDensity(double density) : density_(density) {}  ///< base-10
  /// Of a density, and base + fog against the same zero.
  static constexpr NetDensity above(Density density, Density base_and_fog) {
    return NetDensity((density - base_and_fog).value());
  }

  constexpr double value() const { return density_; }  ///< base-10; negative only by noise
  /// k times the density: the same film at k times the contrast.
  constexpr NetDensity scaled(double k) const { return NetDensity(density_ * k); }

  friend constexpr DensityDifference operator-(NetDensity a, NetDensity b) {
    return DensityDifference(a.density_ - b.density_);
  }
  friend constexpr NetDensity operator+(NetDensity a, DensityDifference d) {
    return NetDensity(a.density_ + d.value());
  }
  friend constexpr auto operator<=>(NetDensity, NetDensity) = default;

 private:
  double density_ = 0;
};

}  // namespace basefog
