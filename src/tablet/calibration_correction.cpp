// SPDX-License-Identifier: GPL-3.0-or-later
#include "tablet/calibration_correction.hpp"

#include <Eigen/Dense>
#include <algorithm>
#include <cmath>
#include <optional>

namespace basefog::tablet {
namespace {

/// Scatter about the formula, in the tablet's own standard deviations, from which on a departure is
/// looked for: below half, what is left is the tablet's own error (judgement).
constexpr double kNotableScatter = 0.5;
/// The departure must predict left-out steps at least this much better than the formula: by chance
/// one of sixteen numbers of knots does so a little (judgement).
constexpr double kBetterBy = 0.6;
/// Fewer knots make a line, which the formula has; more follow noise.
constexpr int kFewestKnots = 3;
constexpr int kMostKnots = 16;
/// Steps a knot, at least, so that no knot follows one step alone.
constexpr int kStepsPerKnot = 2;

struct Departure {
  double at = 0;     ///< density by the formula
  double value = 0;  ///< that less the true density
  double weight = 1;
};

/// Share of the hat function of each knot at x; one beyond the ends.
Eigen::VectorXd hats(const Eigen::VectorXd& knots, double x) {
  Eigen::VectorXd share = Eigen::VectorXd::Zero(knots.size());
  const double inside = std::clamp(x, knots[0], knots[knots.size() - 1]);
  Eigen::Index below = 0;
  while (below + 2 < knots.size() && knots[below + 1] <= inside) ++below;
  const double t = (inside - knots[below]) / (knots[below + 1] - knots[below]);
  share[below] = 1 - t;
  share[below + 1] = t;
  return share;
}

struct KnotFit {
  Eigen::VectorXd knots, values;
  double left_out = 0;  ///< weighted rms error of steps left out
};

std::optional<KnotFit> fit_knots(const std::vector<Departure>& data, int count) {
  KnotFit fit;
  fit.knots = Eigen::VectorXd::LinSpaced(count, data.front().at, data.back().at);
  const auto n = static_cast<Eigen::Index>(data.size());
  Eigen::MatrixXd rows(n, count);
  Eigen::VectorXd values(n);
  for (Eigen::Index i = 0; i < n; ++i) {
    const Departure& d = data[static_cast<std::size_t>(i)];
    rows.row(i) = d.weight * hats(fit.knots, d.at).transpose();
    values[i] = d.weight * d.value;
  }
  const Eigen::MatrixXd normal = rows.transpose() * rows;
  const Eigen::FullPivLU<Eigen::MatrixXd> solver(normal);
  if (!solver.isInvertible()) return std::nullopt;
  fit.values = solver.solve(rows.transpose() * values);
  // Error of a step left out of a linear fit, from its leverage.
  const Eigen::MatrixXd reach = rows * solver.inverse() * rows.transpose();
  const Eigen::VectorXd residual = values - rows * fit.values;
  double sum = 0;
  for (Eigen::Index i = 0; i < n; ++i) {
    sum += std::pow(residual[i] / std::max(1 - reach(i, i), 1e-6), 2);
  }
  fit.left_out = std::sqrt(sum / static_cast<double>(n));
  return fit;
}

DensityCorrection correction_of(const KnotFit& fit) {
  return {std::vector<double>(fit.knots.begin(), fit.knots.end()),
          std::vector<double>(fit.values.begin(), fit.values.end())};
}

}  // namespace

double DensityCorrection::departure(double formula_density) const {
  if (knots_.empty()) return 0;
  if (formula_density <= knots_.front()) return departures_.front();
  if (formula_density >= knots_.back()) return departures_.back();
  const auto above = std::ranges::upper_bound(knots_, formula_density);
  const auto i = static_cast<std::size_t>(above - knots_.begin());
  const double t = (formula_density - knots_[i - 1]) / (knots_[i] - knots_[i - 1]);
  return departures_[i - 1] + t * (departures_[i] - departures_[i - 1]);
}

bool DensityCorrection::monotone() const {
  constexpr double kSteepest = 0.8;  // at 1 density would stand still where the code falls
  for (std::size_t i = 1; i < knots_.size(); ++i) {
    if (departures_[i] - departures_[i - 1] > kSteepest * (knots_[i] - knots_[i - 1])) return false;
  }
  return true;
}

DensityCorrection fit_correction(const ScannerModel& model, const std::vector<ScannerStep>& steps,
                                 double tablet_sigma, double densest) {
  std::vector<Departure> data;
  double sum = 0;
  for (const ScannerStep& step : steps) {
    const auto read = model.density(step.code);
    if (!read || step.density > densest) continue;
    const double sigma = std::hypot(tablet_sigma, step.sigma / model.slope(step.density));
    data.push_back({*read, *read - step.density, 1 / sigma});
    sum += std::pow(data.back().value * data.back().weight, 2);
  }
  std::ranges::sort(data, {}, &Departure::at);
  const auto count = static_cast<double>(data.size());
  constexpr double kFormulaParameters = 3;  // scale, exponent, black
  if (count <= kFormulaParameters + kFewestKnots) return {};
  if (std::sqrt(sum / (count - kFormulaParameters)) < kNotableScatter) return {};
  // A step left out of the formula's own fit would lie off by about this much.
  double best = kBetterBy * std::sqrt(sum / count) * count / (count - kFormulaParameters);
  DensityCorrection chosen;
  const int most = std::min(kMostKnots, static_cast<int>(data.size()) / kStepsPerKnot);
  for (int knots = kFewestKnots; knots <= most; ++knots) {
    const auto fit = fit_knots(data, knots);
    if (!fit || fit->left_out >= best || !correction_of(*fit).monotone()) continue;
    best = fit->left_out;
    chosen = correction_of(*fit);
  }
  return chosen;
}

}  // namespace basefog::tablet
