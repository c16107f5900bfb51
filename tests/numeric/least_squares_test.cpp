// SPDX-License-Identifier: GPL-3.0-or-later
// Certified problems from NIST's Statistical Reference Datasets [NISTStRD], typed from memory and
// proved by their certified sums of squares. The rule for a pass: 6 digits of each parameter and of
// the residual sum of squares from the first, farther start.
#include "numeric/least_squares.hpp"

#include <gtest/gtest.h>

#include <cmath>
#include <vector>

namespace basefog::numeric {
namespace {

struct Datum {
  double y, x;
};

using Model = double (*)(const Eigen::VectorXd& b, double x);

Residuals residuals_of(const std::vector<Datum>& data, Model model) {
  return [&data, model](const Eigen::VectorXd& b) {
    Eigen::VectorXd r(static_cast<Eigen::Index>(data.size()));
    for (std::size_t i = 0; i < data.size(); ++i) {
      r[static_cast<Eigen::Index>(i)] = model(b, data[i].x) - data[i].y;
    }
    return r;
  };
}

void expect_certified(const LeastSquaresFit& fit, const std::vector<double>& parameters,
                      double sum_of_squares) {
  EXPECT_TRUE(fit.converged);
  EXPECT_NEAR(fit.sum_of_squares, sum_of_squares, 1e-6 * sum_of_squares);
  for (std::size_t i = 0; i < parameters.size(); ++i) {
    EXPECT_NEAR(fit.parameters[static_cast<Eigen::Index>(i)], parameters[i],
                1e-6 * std::abs(parameters[i]));
  }
}

TEST(LeastSquares, misra1a_matches_NISTStRD) {
  const std::vector<Datum> data = {{10.07, 77.6},  {14.73, 114.9}, {17.94, 141.1}, {23.93, 190.8},
                                   {29.61, 239.9}, {35.18, 289.0}, {40.02, 332.8}, {44.82, 378.4},
                                   {50.76, 434.8}, {55.05, 477.3}, {61.01, 536.8}, {66.40, 593.1},
                                   {75.47, 689.1}, {81.78, 760.0}};
  const auto model = [](const Eigen::VectorXd& b, double x) {
    return b[0] * (1 - std::exp(-b[1] * x));
  };
  const auto fit = fit_least_squares(residuals_of(data, model), Eigen::Vector2d(500, 0.0001));
  expect_certified(fit, {2.3894212918E+02, 5.5015643181E-04}, 1.2455138894E-01);
  // Certified standard deviations, from the residual one over n - 2.
  const double variance = fit.sum_of_squares / 12;
  EXPECT_NEAR(std::sqrt(variance * fit.covariance(0, 0)), 2.7070075241E+00, 1e-4);
  EXPECT_NEAR(std::sqrt(variance * fit.covariance(1, 1)), 7.2668688436E-06, 1e-10);
}

TEST(LeastSquares, rat42_matches_NISTStRD) {
  const std::vector<Datum> data = {{8.930, 9},   {10.800, 14}, {18.590, 21},
                                   {22.330, 28}, {39.350, 42}, {56.110, 57},
                                   {61.730, 63}, {64.620, 70}, {67.080, 79}};
  const auto model = [](const Eigen::VectorXd& b, double x) {
    return b[0] / (1 + std::exp(b[1] - b[2] * x));
  };
  expect_certified(fit_least_squares(residuals_of(data, model), Eigen::Vector3d(100, 1, 0.1)),
                   {7.2462237576E+01, 2.6180768402E+00, 6.7359200066E-02}, 8.0565229338E+00);
}

TEST(LeastSquares, says_when_the_data_cannot_tell_parameters_apart) {
  const std::vector<Datum> data = {{1, 1}, {2, 2}, {3, 3}};
  const auto model = [](const Eigen::VectorXd& b, double x) { return (b[0] + b[1]) * x; };
  const auto fit = fit_least_squares(residuals_of(data, model), Eigen::Vector2d(0.1, 0.2));
  EXPECT_EQ(fit.covariance.size(), 0);
  EXPECT_NEAR(fit.parameters.sum(), 1, 1e-9);
}

}  // namespace
}  // namespace basefog::numeric
