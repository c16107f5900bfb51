// SPDX-License-Identifier: GPL-3.0-or-later
#pragma once

#include <span>
#include <utility>
#include <vector>

namespace basefog::numeric {

/// Quantile of values sorted in rising order, interpolated linearly at place p (n - 1)
/// [HyndmanFan, type 7]. p from 0 to 1, clamped; NaN for no values.
double sorted_quantile(std::span<const double> sorted, double p);

/// The same of values in any order; takes them by value, for they are put in order.
double quantile(std::vector<double> values, double p);
double quantile(std::vector<float> values, double p);

/// The middle value; the mean of the middle two of an even number. NaN for no values.
double median(std::vector<double> values);
double median(std::vector<float> values);

/// Of a normal distribution: the standard deviation in median absolute deviations, and the distance
/// of the quartiles in standard deviations.
inline constexpr double kSigmaPerMad = 1.4826;
inline constexpr double kQuartilesApart = 1.349;
/// A median's standard deviation over a mean's, of many normal values: the root of pi / 2.
inline constexpr double kMedianOverMean = 1.2533;

/// Standard deviation of values about a known middle, from their deviations: the median of their
/// magnitudes. NaN for no values.
double robust_sigma(std::vector<double> deviations);

/// Middle and standard deviation of values of which fewer than half are wild: median, and median
/// absolute deviation from it. NaN for no values; a spread of 0 where more than half are equal.
struct RobustSpread {
  double median = 0;
  double sigma = 0;
};
RobustSpread robust_spread(std::vector<double> values);

/// The value with at most half of the weight below it and at most half above; 0 for none. Pairs of
/// value and weight.
double weighted_median(std::vector<std::pair<double, double>> values);

/// Standard normal distribution function.
double normal_cdf(double z);

/// The value that a chi square with so many degrees of freedom exceeds as often as a standard
/// normal variable exceeds z, by Wilson and Hilferty's cube root [WilsonHilferty]; to 2 % from 2
/// on.
double chi_square_quantile(double freedom, double z);

}  // namespace basefog::numeric
