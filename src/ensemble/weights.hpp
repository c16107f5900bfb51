// SPDX-License-Identifier: GPL-3.0-or-later
#pragma once

#include <span>
#include <vector>

namespace basefog::ensemble {

/// Weights that sum to 1, as exp of the logs; -infinity is none. At least one must be finite.
std::vector<double> normalised(std::span<const double> log_weights);

/// The same with the logs multiplied by the largest factor up to 1 for which the effective number
/// is at least `least_share` of all.
std::vector<double> tempered(std::span<const double> log_weights, double least_share);

/// How many members of equal weight would be as good: 1 / sum of squares [Kish1965].
double effective_number(std::span<const double> weights);

/// The values below which shares of the weight lie, half of each value's own weight counted below
/// it and straight between neighbours. Weights sum to 1; shares rise, from 0 to 1, beyond the
/// outermost halves the outermost values.
std::vector<double> weighted_quantiles(std::span<const double> values,
                                       std::span<const double> weights,
                                       std::span<const double> shares);

}  // namespace basefog::ensemble
