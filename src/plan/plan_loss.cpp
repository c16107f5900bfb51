// SPDX-License-Identifier: GPL-3.0-or-later
#include "plan/plan_loss.hpp"

#include <cmath>

#include "numeric/quantile.hpp"

namespace basefog::plan {
namespace {

double dot(const std::vector<double>& a, const std::vector<double>& b) {
  double sum = 0;
  for (std::size_t i = 0; i < a.size(); ++i) sum += a[i] * b[i];
  return sum;
}

/// C v, C square and row by row.
std::vector<double> times(const std::vector<double>& square, const std::vector<double>& v) {
  std::vector<double> product(v.size(), 0.0);
  for (std::size_t i = 0; i < v.size(); ++i) {
    for (std::size_t j = 0; j < v.size(); ++j) product[i] += square[i * v.size() + j] * v[j];
  }
  return product;
}

}  // namespace

PlanLoss::PlanLoss(const std::vector<double>& mean, const std::vector<double>& covariance,
                   const std::vector<Frame>& frames, std::size_t actions,
                   const NextRollChance& chance)
    : frames_(frames.size()),
      chance_(chance),
      linear_(actions, 0.0),
      quadratic_(actions, std::vector<double>(actions, 0.0)),
      covariance_(actions, std::vector<double>(actions, 0.0)) {
  std::vector<std::vector<double>> sums(actions, std::vector<double>(mean.size(), 0.0));
  for (const Frame& frame : frames) {
    const double off = dot(frame.errors, mean);
    constant_ += off * off + dot(frame.errors, times(covariance, frame.errors));
    for (const std::size_t one : frame.actions) {
      linear_[one] += off;
      for (std::size_t i = 0; i < mean.size(); ++i) sums[one][i] += frame.errors[i];
      for (const std::size_t other : frame.actions) quadratic_[one][other] += 1;
    }
  }
  for (std::size_t one = 0; one < actions; ++one) {
    const std::vector<double> spread = times(covariance, sums[one]);
    for (std::size_t other = 0; other < actions; ++other) {
      covariance_[one][other] = dot(sums[other], spread);
    }
  }
}

double PlanLoss::of(const std::vector<double>& plan) const {
  double loss = constant_ + 2 * dot(linear_, plan);
  for (std::size_t i = 0; i < plan.size(); ++i) loss += plan[i] * dot(quadratic_[i], plan);
  return loss / static_cast<double>(frames_);
}

PlanLoss::Parabola PlanLoss::along(std::size_t action, const std::vector<double>& plan) const {
  const double curvature = quadratic_[action][action];
  const double slope = linear_[action] + dot(quadratic_[action], plan) - curvature * plan[action];
  const auto n = static_cast<double>(frames_);
  return {curvature / n, slope / n};
}

double PlanLoss::chance_better(const std::vector<double>& plan,
                               const std::vector<double>& other) const {
  std::vector<double> change(plan.size());
  for (std::size_t i = 0; i < plan.size(); ++i) change[i] = other[i] - plan[i];
  double variance = 0;
  double shifts = 0;   // sum of d_k
  double squares = 0;  // of d_k^2
  for (std::size_t i = 0; i < plan.size(); ++i) {
    variance += change[i] * dot(covariance_[i], change);
    shifts += change[i] * quadratic_[i][i];
    squares += change[i] * dot(quadratic_[i], change);
  }
  variance += std::pow(chance_.roll * shifts, 2) + std::pow(chance_.frame, 2) * squares;
  const double gain = static_cast<double>(frames_) * (of(other) - of(plan));
  if (variance <= 0) return gain > 0 ? 1 : gain < 0 ? 0 : 0.5;
  return numeric::normal_cdf(gain / (2 * std::sqrt(variance)));
}

}  // namespace basefog::plan
