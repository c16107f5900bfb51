// SPDX-License-Identifier: GPL-3.0-or-later
#pragma once

#include <optional>

#include "basefog/core/film_facts.hpp"
#include "basefog/core/settings.hpp"
#include "basefog/core/units.hpp"
#include "basefog/film/characteristic_curve.hpp"

namespace basefog::film {

/// S = 0.8 / Hm, Hm being the exposure 0.10 above base + fog, in lux·s [ISO6]. Unrounded.
FilmSpeed iso6_speed(LogExposure speed_point);

/// S = sqrt(2) / Hm, Hm being the geometric mean of the green layer's and the slowest layer's
/// exposure 0.15 above minimum density [ISO5800]. Unrounded.
FilmSpeed iso5800_speed(LogExposure red, LogExposure green, LogExposure blue);

/// The film's own speed point from its layers': half way between green and the slowest, on the
/// log H axis [ISO5800].
LogExposure iso5800_speed_point(LogExposure red, LogExposure green, LogExposure blue);

/// The functions below read a curve whose exposures may count from any zero; they are empty where
/// the curve's points do not reach far enough.

/// Mean gradient dD/dlog10 H over `log_h` from where the curve is `start` above base: ISO 6's
/// triangle with 1.30, one maker's average gradient with 1.50 [ApugGradients].
std::optional<double> average_gradient(const CharacteristicCurve& curve, double log_h,
                                       NetDensity start = film_facts::kIso6SpeedDensity);

/// Contrast index: slope of the straight line that leaves the base + fog line at a point from which
/// it meets the curve at 0.2 and again at 2.2, on axes of equal scale [H740, p. 9].
std::optional<double> contrast_index(const CharacteristicCurve& curve);

/// Gamma: slope of the straight-line part, taken as the steepest mean gradient over 0.60 log H.
std::optional<double> gamma(const CharacteristicCurve& curve);

/// Exposure below which the gradient is less than `fraction` of the mean gradient of the 1.5 log H
/// that follow: the least exposure that makes an excellent print for 0.3 [NelsonSimonds].
std::optional<Stops> fractional_gradient_point(const CharacteristicCurve& curve,
                                               double fraction = 0.3);

/// Delta-X: log10 H from the fractional gradient point to 0.10 above base + fog [NelsonSimonds].
std::optional<double> delta_x(const CharacteristicCurve& curve);

/// How development departs from ISO 6's triangle.
enum class Development {
  softer,  ///< density rises by less than 0.75 over 1.30 log H [ISO6]
  normal,  ///< by 0.75 to 0.85
  harder,  ///< by more
};
/// Of an average gradient over 1.30 log H from the speed point.
Development development_of(double average_gradient);

}  // namespace basefog::film
