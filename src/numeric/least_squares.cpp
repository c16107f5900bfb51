// SPDX-License-Identifier: GPL-3.0-or-later
#include "numeric/least_squares.hpp"

#include <Eigen/Dense>
#include <algorithm>
#include <cmath>
#include <limits>

namespace basefog::numeric {
namespace {

/// Relative step of the central differences, the cube root of the spacing of doubles at 1: the
/// error of the formula, about step^2, then equals that of rounding, about spacing / step.
const double kStep = std::cbrt(std::numeric_limits<double>::epsilon());

Eigen::MatrixXd jacobian(const Residuals& residuals, const Eigen::VectorXd& at, Eigen::Index data) {
  Eigen::MatrixXd result(data, at.size());
  for (Eigen::Index i = 0; i < at.size(); ++i) {
    const double step = kStep * std::max(std::abs(at[i]), 1e-8);
    Eigen::VectorXd above = at;
    Eigen::VectorXd below = at;
    above[i] += step;
    below[i] -= step;
    result.col(i) = (residuals(above) - residuals(below)) / (above[i] - below[i]);
  }
  return result;
}

}  // namespace

LeastSquaresFit fit_least_squares(const Residuals& residuals, Eigen::VectorXd start) {
  constexpr int kMostSteps = 500;          // a bound; it stops when the sum settles
  constexpr double kLeastDamping = 1e-14;  // beyond both, doubles add nothing
  constexpr double kMostDamping = 1e14;
  constexpr double kSmallestChange = 1e-14;  // of the sum of squares, relative

  LeastSquaresFit fit;
  fit.parameters = std::move(start);
  Eigen::VectorXd current = residuals(fit.parameters);
  fit.sum_of_squares = current.squaredNorm();
  double damping = 1e-3;
  Eigen::MatrixXd slopes = jacobian(residuals, fit.parameters, current.size());
  for (int step = 0; step < kMostSteps && !fit.converged; ++step) {
    const Eigen::MatrixXd normal = slopes.transpose() * slopes;
    const Eigen::VectorXd downhill = -slopes.transpose() * current;
    bool better = false;
    while (!better && damping < kMostDamping) {
      Eigen::MatrixXd damped = normal;
      damped.diagonal() += damping * normal.diagonal();
      const Eigen::VectorXd tried = fit.parameters + damped.ldlt().solve(downhill);
      const Eigen::VectorXd there = residuals(tried);
      const double sum = there.squaredNorm();
      if (std::isfinite(sum) && sum <= fit.sum_of_squares) {
        better = true;
        fit.converged = fit.sum_of_squares - sum <= kSmallestChange * fit.sum_of_squares;
        fit.parameters = tried;
        fit.sum_of_squares = sum;
        current = there;
        damping = std::max(damping / 10, kLeastDamping);
      } else {
        damping *= 10;
      }
    }
    // No step lowers the sum: this is the minimum, to rounding.
    if (!better) fit.converged = true;
    slopes = jacobian(residuals, fit.parameters, current.size());
  }
  const Eigen::FullPivLU<Eigen::MatrixXd> normal(slopes.transpose() * slopes);
  if (normal.isInvertible()) fit.covariance = normal.inverse();
  return fit;
}

}  // namespace basefog::numeric
