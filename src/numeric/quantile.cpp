// SPDX-License-Identifier: GPL-3.0-or-later
#include "numeric/quantile.hpp"

#include <algorithm>
#include <cmath>
#include <limits>
#include <numbers>
#include <utility>

namespace basefog::numeric {
namespace {

/// Only the two values about the place are put where they belong.
template <class T>
double quantile_of(std::vector<T>& values, double p) {
  if (values.empty()) return std::numeric_limits<double>::quiet_NaN();
  const double place = std::clamp(p, 0.0, 1.0) * static_cast<double>(values.size() - 1);
  const auto below = values.begin() + static_cast<std::ptrdiff_t>(place);
  std::nth_element(values.begin(), below, values.end());
  const double low = *below;
  const double part = place - std::floor(place);
  if (part == 0) return low;
  return low + part * (static_cast<double>(*std::min_element(below + 1, values.end())) - low);
}

}  // namespace

double quantile(std::vector<double> values, double p) { return quantile_of(values, p); }
double quantile(std::vector<float> values, double p) { return quantile_of(values, p); }
double median(std::vector<double> values) { return quantile_of(values, 0.5); }
double median(std::vector<float> values) { return quantile_of(values, 0.5); }

double robust_sigma(std::vector<double> deviations) {
  for (double& deviation : deviations) deviation = std::abs(deviation);
  return kSigmaPerMad * median(std::move(deviations));
}

RobustSpread robust_spread(std::vector<double> values) {
  const double middle = median(values);
  for (double& value : values) value -= middle;
  return {middle, robust_sigma(std::move(values))};
}

double normal_cdf(double z) { return 0.5 * std::erfc(-z / std::numbers::sqrt2); }

double sorted_quantile(std::span<const double> sorted, double p) {
  if (sorted.empty()) return std::numeric_limits<double>::quiet_NaN();
  const double place = std::clamp(p, 0.0, 1.0) * static_cast<double>(sorted.size() - 1);
  const auto below = static_cast<std::size_t>(place);
  const std::size_t above = std::min(below + 1, sorted.size() - 1);
  const double part = place - static_cast<double>(below);
  return sorted[below] + part * (sorted[above] - sorted[below]);
}

double weighted_median(std::vector<std::pair<double, double>> values) {
  std::sort(values.begin(), values.end());
  double half = 0;
  for (const auto& [value, weight] : values) half += weight / 2;
  for (const auto& [value, weight] : values) {
    half -= weight;
    if (half <= 0) return value;
  }
  return 0;
}

double chi_square_quantile(double freedom, double z) {
  const double k = 2 / (9 * freedom);
  return freedom * std::pow(1 - k + z * std::sqrt(k), 3);
}

}  // namespace basefog::numeric
