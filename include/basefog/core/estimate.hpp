// SPDX-License-Identifier: GPL-3.0-or-later
#pragma once

#include <optional>

#include "basefog/core/units.hpp"

namespace basefog {

/// A measured value with its 95 % interval. An absent end means that only a bound is known there:
/// no low end reads "at most high", no high end reads "at least low". With both ends absent the
/// value carries no claim of accuracy and must not be shown as measured.
template <class Quantity>
struct Estimate {
  Quantity value;                ///< the best single answer
  std::optional<Quantity> low;   ///< 2.5 % quantile
  std::optional<Quantity> high;  ///< 97.5 % quantile

  bool two_sided() const { return low && high; }  ///< both ends are known
  friend bool operator==(const Estimate&, const Estimate&) = default;
};

/// A difference of exposure in stops, with its interval.
using StopsEstimate = Estimate<Stops>;

/// Two-sided 97.5 % quantile of the standard normal distribution.
inline constexpr double kNormal975 = 1.959963984540054;

/// value ± 1.96 sigma, for an error taken as normal. sigma >= 0.
template <class Quantity, class Difference>
Estimate<Quantity> normal_estimate(Quantity value, Difference sigma) {
  return {value, value - sigma * kNormal975, value + sigma * kNormal975};
}

}  // namespace basefog
