// SPDX-License-Identifier: GPL-3.0-or-later
#pragma once

#include <span>

namespace basefog::numeric {

/// Of the pairs of points whose x lie more than an eighth of the whole range apart, the share whose
/// y is greater where x is, 0 to 1; 1 where there is no such pair. x and y are of one length.
double rising_share(std::span<const double> x, std::span<const double> y);

}  // namespace basefog::numeric
