// SPDX-License-Identifier: GPL-3.0-or-later
#include "ensemble/error_budget.hpp"

#include <algorithm>
#include <cmath>

namespace basefog::ensemble {
namespace {

using reading::ErrorBudget;
using reading::ErrorCause;

double mean_of(std::span<const double> values, std::span<const double> weights) {
  double mean = 0;
  for (std::size_t m = 0; m < values.size(); ++m) mean += weights[m] * values[m];
  return mean;
}

double mean_product(std::span<const double> a, std::span<const double> b,
                    std::span<const double> weights) {
  double mean = 0;
  for (std::size_t m = 0; m < a.size(); ++m) mean += weights[m] * a[m] * b[m];
  return mean;
}

}  // namespace

std::vector<Difference> made_independent(std::vector<Difference> differences,
                                         std::span<const double> weights) {
  constexpr double kNothingLeft = 1e-3;  // of a standard deviation
  std::vector<Difference> independent;
  for (Difference& one : differences) {
    const double mean = mean_of(one.value, weights);
    for (double& value : one.value) value -= mean;
    for (const Difference& before : independent) {
      const double shared = mean_product(one.value, before.value, weights);
      for (std::size_t m = 0; m < one.value.size(); ++m) one.value[m] -= shared * before.value[m];
    }
    const double spread = std::sqrt(mean_product(one.value, one.value, weights));
    if (spread < kNothingLeft) continue;
    for (double& value : one.value) value /= spread;
    independent.push_back(std::move(one));
  }
  return independent;
}

ErrorBudget budget_of(std::span<const double> answer, std::span<const double> weights,
                      std::span<const Difference> independent) {
  EnumArray<ErrorCause, double> squares{};
  EnumArray<ErrorCause, double> largest{};
  const double mean = mean_of(answer, weights);
  double left = mean_product(answer, answer, weights) - mean * mean;
  for (const Difference& one : independent) {
    const double change = mean_product(answer, one.value, weights);
    squares[one.cause] += change * change;
    left -= change * change;
    if (std::abs(change) > std::abs(largest[one.cause])) largest[one.cause] = change;
  }
  ErrorBudget budget{};
  for (const ErrorCause cause : every<ErrorCause>()) {
    budget[cause] = std::copysign(std::sqrt(squares[cause]), largest[cause]);
  }
  budget[ErrorCause::clipping] = std::sqrt(std::max(left, 0.0));
  return budget;
}

}  // namespace basefog::ensemble
