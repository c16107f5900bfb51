// SPDX-License-Identifier: GPL-3.0-or-later
#include "basefog/film/sensitometry.hpp"

#include <algorithm>
#include <cmath>
#include <numbers>

#include "basefog/core/film_facts.hpp"
namespace basefog::film {
namespace {

/// Step of searches along a curve; the place is then halved into.
constexpr Stops kSearchStep{1.0 / 64};

/// Where `falls_below(x)` first becomes true going down from `from`; empty where it does not before
/// `to`.
template <class Condition>
std::optional<Stops> search_down(Stops from, Stops to, const Condition& falls_below) {
  for (Stops x = from; x - kSearchStep >= to; x -= kSearchStep) {
    if (!falls_below(x - kSearchStep)) continue;
    Stops above = x;
    Stops below = x - kSearchStep;
    for (int i = 0; i < 50; ++i) {
      const Stops middle = (above + below) / 2;
      (falls_below(middle) ? below : above) = middle;
    }
    return above;
  }
  return std::nullopt;
}

}  // namespace

FilmSpeed iso6_speed(LogExposure speed_point) {
  return FilmSpeed(film_facts::kIso6SpeedExposure / speed_point.lux_seconds());
}

LogExposure iso5800_speed_point(LogExposure red, LogExposure green, LogExposure blue) {
  const LogExposure slowest = std::max({red, green, blue});
  return green + (slowest - green) / 2;
}

FilmSpeed iso5800_speed(LogExposure red, LogExposure green, LogExposure blue) {
  return FilmSpeed(film_facts::kIso5800SpeedExposure /
                   iso5800_speed_point(red, green, blue).lux_seconds());
}

std::optional<double> average_gradient(const CharacteristicCurve& curve, double log_h,
                                       NetDensity start) {
  const std::optional<Stops> from = curve.where(start);
  if (!from) return std::nullopt;
  const Stops to = *from + Stops::from_log10(log_h);
  if (to > curve.last()) return std::nullopt;
  return (curve.density(to) - start).value() / log_h;
}

std::optional<double> contrast_index(const CharacteristicCurve& curve) {
  constexpr double kNear = 0.2;  // from the point on base + fog [H740, p. 9]
  constexpr double kFar = 2.2;
  // How much farther apart the curve has the two densities than the line has.
  const auto excess = [&](double angle) -> std::optional<double> {
    const auto near = curve.where(NetDensity(kNear * std::sin(angle)));
    const auto far = curve.where(NetDensity(kFar * std::sin(angle)));
    if (!near || !far) return std::nullopt;
    return (*far - *near).log10() - (kFar - kNear) * std::cos(angle);
  };
  constexpr int kAngles = 180;  // half a degree apart
  std::optional<double> last_excess;
  double last_angle = 0;
  for (int i = 1; i < kAngles; ++i) {
    const double angle = std::numbers::pi / 2 * i / kAngles;
    const std::optional<double> now = excess(angle);
    if (now && last_excess && *last_excess <= 0 && *now > 0) {
      double low = last_angle;
      double high = angle;
      for (int k = 0; k < 60; ++k) {
        const double middle = (low + high) / 2;
        (*excess(middle) <= 0 ? low : high) = middle;
      }
      return std::tan((low + high) / 2);
    }
    last_excess = now;
    last_angle = angle;
  }
  return std::nullopt;
}

std::optional<double> gamma(const CharacteristicCurve& curve) {
  const Stops span = Stops::from_log10(0.60);
  std::optional<double> steepest;
  for (Stops x = curve.first(); x + span <= curve.last(); x += kSearchStep * 4) {
    const double slope = (curve.density(x + span) - curve.density(x)).value() / span.log10();
    steepest = std::max(steepest.value_or(slope), slope);
  }
  return steepest;
}

std::optional<Stops> fractional_gradient_point(const CharacteristicCurve& curve, double fraction) {
  const Stops span = Stops::from_log10(1.5);
  const auto low = [&](Stops x) {
    const double mean = (curve.density(x + span) - curve.density(x)).value() / span.log10();
    return curve.gradient(x) < fraction * mean;
  };
  const std::optional<Stops> speed_point = curve.where(film_facts::kIso6SpeedDensity);
  const Stops from = speed_point.value_or(curve.first()) + Stops::from_log10(0.5);
  if (from + span > curve.last()) return std::nullopt;
  return search_down(from, curve.first(), low);
}

std::optional<double> delta_x(const CharacteristicCurve& curve) {
  const std::optional<Stops> speed_point = curve.where(film_facts::kIso6SpeedDensity);
  const std::optional<Stops> least = fractional_gradient_point(curve);
  if (!speed_point || !least) return std::nullopt;
  return (*speed_point - *least).log10();
}

Development development_of(double average_gradient) {
  const double rise = average_gradient * film_facts::kIsoTriangleLogH;
  if (rise < film_facts::kIso6Rise - film_facts::kIso6RiseTolerance) return Development::softer;
  if (rise > film_facts::kIso6Rise + film_facts::kIso6RiseTolerance) return Development::harder;
  return Development::normal;
}

}  // namespace basefog::film
