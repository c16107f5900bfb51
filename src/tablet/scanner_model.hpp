// SPDX-License-Identifier: GPL-3.0-or-later
#pragma once

#include <Eigen/Core>
#include <optional>
#include <vector>

namespace basefog::tablet {

/// Two more than the formula has numbers; fewer steps cannot tell black from exponent and are
/// fitted by a power law alone (judgement).
constexpr std::size_t kFewestForBlack = 5;

/// One tablet step as one channel sees it; code as a fraction of full scale, sigma of the code > 0.
struct ScannerStep {
  double density = 0;
  double code = 0;
  double sigma = 0;
};

/// code = black + scale * (10^-D + flare)^exponent.
struct ScannerModel {
  double black = 0;
  double scale = 1;
  double exponent = 1;
  double flare = 0;

  double code(double density) const;
  /// Magnitude of the change of code with density, above 0.
  double slope(double density) const;
  /// The density of a code; absent for codes as dark as black and flare alone.
  std::optional<double> density(double code) const;
};

struct ScannerFit {
  ScannerModel model;
  /// False where no scanner's curve goes through the steps at all.
  bool found = false;

  /// Standard deviation of the fitted code at a density, all parameters' errors together.
  double code_sigma(double density) const;

  Eigen::VectorXd parameters;  ///< scaled, as fitted
  Eigen::MatrixXd covariance;  ///< of those; empty where the steps cannot separate them
  double black_unit = 1;       ///< scale of the parameter of black
};

/// Weighted least squares over the code, each step weighed by its own noise and by the tablet's
/// standard deviation of density; steps that lie off count less (Huber). Flare is fitted only where
/// it lowers chi-square by more than 10; without it, flare cannot be separated from black. Black is
/// 0 where there are fewer than kFewestForBlack steps. At least 3 steps, lightest first, codes
/// falling on the whole.
ScannerFit fit_scanner_model(const std::vector<ScannerStep>& steps, double tablet_sigma);

}  // namespace basefog::tablet
