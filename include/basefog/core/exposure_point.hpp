// SPDX-License-Identifier: GPL-3.0-or-later
// Points on the film's exposure axis in stops, each with its zero.
#pragma once

#include <compare>

#include "basefog/core/estimate.hpp"
#include "basefog/core/units.hpp"

namespace basefog {

/// A point on the exposure axis in stops from a zero; any finite value, positive is more light.
/// Two points with one zero subtract to Stops; a point plus Stops is a point; points do not add,
/// and points with different zeros do not mix.
template <class Zero>
class ExposurePoint {
 public:
  constexpr ExposurePoint() = default;                               ///< the zero itself
  constexpr explicit ExposurePoint(double stops) : stops_(stops) {}  ///< stops above the zero

  constexpr double value() const { return stops_; }  ///< stops above the zero

  friend constexpr Stops operator-(ExposurePoint a, ExposurePoint b) {
    return Stops(a.stops_ - b.stops_);
  }
  friend constexpr ExposurePoint operator+(ExposurePoint a, Stops s) {
    return ExposurePoint(a.stops_ + s.value());
  }
  friend constexpr ExposurePoint operator-(ExposurePoint a, Stops s) {
    return ExposurePoint(a.stops_ - s.value());
  }
  friend constexpr auto operator<=>(ExposurePoint, ExposurePoint) = default;

 private:
  double stops_ = 0;
};

/// What the film got against the aim, stops; zero: the aim (Aim), positive: more than the aim.
using ExposureFromAim = ExposurePoint<struct ZeroAtAim>;
/// Exposure above the speed point, stops; zero: the speed point of the film, or of the one layer
/// that is read, negative: on film that is hardly darker than clear.
using ExposureAboveSpeedPoint = ExposurePoint<struct ZeroAtSpeedPoint>;

/// Where an exposure lies on a film; speed_point: the film's, FilmProfile::speed_point().
constexpr ExposureAboveSpeedPoint above_speed_point(LogExposure exposure, LogExposure speed_point) {
  return ExposureAboveSpeedPoint((exposure - speed_point).value());
}
/// The same exposure counted from the aim, which lies at `aim` on the film.
constexpr ExposureFromAim from_aim(ExposureAboveSpeedPoint exposure, ExposureAboveSpeedPoint aim) {
  return ExposureFromAim((exposure - aim).value());
}
/// And back.
constexpr ExposureAboveSpeedPoint above_speed_point(ExposureFromAim exposure,
                                                    ExposureAboveSpeedPoint aim) {
  return aim + (exposure - ExposureFromAim());
}

/// A point as the stops that lie between it and its zero, for writers that name the zero in words.
template <class Zero>
constexpr Stops in_stops(ExposurePoint<Zero> point) {
  return point - ExposurePoint<Zero>();
}
/// The same of an estimate; an end that is absent stays absent.
template <class Zero>
StopsEstimate in_stops(const Estimate<ExposurePoint<Zero>>& estimate) {
  StopsEstimate result{in_stops(estimate.value), {}, {}};
  if (estimate.low) result.low = in_stops(*estimate.low);
  if (estimate.high) result.high = in_stops(*estimate.high);
  return result;
}
/// A difference is in stops as it is; for code that writes both.
inline StopsEstimate in_stops(const StopsEstimate& difference) { return difference; }
/// Stops from Point's zero as a point.
template <class Point>
Estimate<Point> from_stops(const StopsEstimate& estimate) {
  Estimate<Point> result{Point(estimate.value.value()), {}, {}};
  if (estimate.low) result.low = Point(estimate.low->value());
  if (estimate.high) result.high = Point(estimate.high->value());
  return result;
}

}  // namespace basefog
