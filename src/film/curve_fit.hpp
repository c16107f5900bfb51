// SPDX-License-Identifier: GPL-3.0-or-later
#pragma once

#include <Eigen/Core>
#include <optional>
#include <span>
#include <vector>

#include "film/toe_and_shoulder.hpp"

namespace basefog::film {

/// Densities at exposures, to fit a curve to.
struct CurveSamples {
  std::vector<double> log_h;    ///< log10 H from any zero; any order, repeats allowed
  std::vector<double> density;  ///< base included or not
  std::vector<double> sigma;    ///< standard deviation of each density, > 0
  /// Standard deviation of each exposure, log10 H: shutter and aperture scatter on their own.
  double exposure_sigma = 0;
  /// Base + fog with its standard deviation; absent where it must come from the samples.
  std::optional<double> base;
  double base_sigma = 0.005;
};

/// A curve fitted to samples: toe and shoulder with priors from published curves, plus a smooth
/// departure from that form (a Gaussian process along the exposure axis), so that real films that
/// are not of the form are followed where the samples show it, and the uncertainty knows both.
class CurveFit {
 public:
  /// At least 4 samples; throws InputError (malformed) where they cannot make a curve.
  explicit CurveFit(const CurveSamples& samples);

  double base() const { return base_; }
  double base_sigma() const;
  /// Net densities at rising exposures, log10 H.
  Eigen::VectorXd net_density(std::span<const double> log_h) const;
  /// Their covariance.
  Eigen::MatrixXd covariance(std::span<const double> log_h) const;
  const ToeAndShoulder& form() const { return form_; }
  double scale() const { return scale_; }
  /// Standard deviation of the shoulder's place, log H.
  double shoulder_sigma() const;
  /// Root mean square of sample less curve, density.
  double residual() const { return residual_; }

 private:
  /// Parameters: base, ln gradient, toe, ln toe width, shoulder - toe, ln shoulder width.
  static constexpr int kParameters = 6;
  using Parameters = Eigen::VectorXd;

  void read_parameters(const Parameters& parameters);
  Eigen::MatrixXd slopes(std::span<const double> rising) const;
  Eigen::MatrixXd departure(std::span<const double> a, std::span<const double> b) const;
  void fit(const CurveSamples& samples);

  std::vector<double> log_h_;  ///< rising
  Eigen::VectorXd density_;
  double base_ = 0;
  double scale_ = 1;
  ToeAndShoulder form_{0, 1, 1, 1};
  Parameters parameters_;
  Eigen::MatrixXd parameter_covariance_;
  Eigen::MatrixXd inverse_;   ///< of the samples' covariance, departure included
  Eigen::VectorXd weighted_;  ///< inverse_ times sample less form
  Eigen::MatrixXd sample_slopes_;
  double residual_ = 0;
  double excess_ = 1;
};

}  // namespace basefog::film
