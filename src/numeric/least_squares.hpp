// SPDX-License-Identifier: GPL-3.0-or-later
#pragma once

#include <Eigen/Core>
#include <functional>

namespace basefog::numeric {

/// Weighted residuals (model - data) / sigma at given parameters, one a datum. Must be finite near
/// the start; a step to where they are not is taken back.
using Residuals = std::function<Eigen::VectorXd(const Eigen::VectorXd& parameters)>;

struct LeastSquaresFit {
  Eigen::VectorXd parameters;
  double sum_of_squares = 0;  ///< of the weighted residuals
  /// Inverse of J'J: the parameters' covariance where sigma is right. Empty where the data cannot
  /// separate the parameters (J'J is singular).
  Eigen::MatrixXd covariance;
  bool converged = false;
};

/// Least squares by Levenberg and Marquardt with damping scaled by the diagonal of J'J
/// [Marquardt1963] and a Jacobian by central differences. For up to about ten parameters of any
/// scale other than 0. At least as many data as parameters.
/// Accuracy: 6 digits of each parameter on NIST's problems of lower and average difficulty
/// (LeastSquares.misra1a_matches_NISTStRD, LeastSquares.rat42_matches_NISTStRD). Of several minima
/// it finds the one below `start`; after 500 steps it gives up, with `converged` false.
LeastSquaresFit fit_least_squares(const Residuals& residuals, Eigen::VectorXd start);

}  // namespace basefog::numeric
