// SPDX-License-Identifier: GPL-3.0-or-later
#include "ensemble/weights.hpp"

#include <algorithm>
#include <cmath>
#include <numeric>

namespace basefog::ensemble {

std::vector<double> normalised(std::span<const double> log_weights) {
  const double most = *std::ranges::max_element(log_weights);
  std::vector<double> weights;
  for (const double one : log_weights) weights.push_back(std::exp(one - most));
  const double sum = std::accumulate(weights.begin(), weights.end(), 0.0);
  for (double& weight : weights) weight /= sum;
  return weights;
}

std::vector<double> tempered(std::span<const double> log_weights, double least_share) {
  const double wanted = least_share * static_cast<double>(log_weights.size());
  const auto at = [&](double power) {
    std::vector<double> logs(log_weights.begin(), log_weights.end());
    for (double& one : logs) one *= power;
    return normalised(logs);
  };
  std::vector<double> weights = at(1);
  if (effective_number(weights) >= wanted) return weights;
  double low = 0;
  double high = 1;
  constexpr int kHalvings = 20;
  for (int i = 0; i < kHalvings; ++i) {
    const double middle = (low + high) / 2;
    (effective_number(at(middle)) >= wanted ? low : high) = middle;
  }
  return at(low);
}

double effective_number(std::span<const double> weights) {
  double squares = 0;
  for (const double weight : weights) squares += weight * weight;
  return 1 / squares;
}

std::vector<double> weighted_quantiles(std::span<const double> values,
                                       std::span<const double> weights,
                                       std::span<const double> shares) {
  std::vector<std::size_t> order(values.size());
  std::iota(order.begin(), order.end(), 0U);
  std::ranges::sort(order, {}, [&](std::size_t i) { return values[i]; });
  std::vector<double> found;
  double below = 0;  // weight up to the middle of the value at hand
  std::size_t i = 0;
  double last_below = 0;
  for (const double share : shares) {
    while (i < order.size()) {
      const double middle = below + weights[order[i]] / 2;
      if (middle >= share) break;
      last_below = middle;
      below += weights[order[i]];
      ++i;
    }
    if (i == 0) {
      found.push_back(values[order.front()]);
    } else if (i == order.size()) {
      found.push_back(values[order.back()]);
    } else {
      const double middle = below + weights[order[i]] / 2;
      const double part = middle > last_below ? (share - last_below) / (middle - last_below) : 0;
      const double from = values[order[i - 1]];
      found.push_back(from + part * (values[order[i]] - from));
    }
  }
  return found;
}

}  // namespace basefog::ensemble
