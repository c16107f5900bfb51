// SPDX-License-Identifier: GPL-3.0-or-later
#pragma once

#include <Eigen/Dense>
#include <optional>
#include <span>
#include <vector>

#include "film/toe_and_shoulder.hpp"

namespace basefog::film {

// A characteristic curve fitted to measured steps.
//
// Formula. Step i has density D_i at x_i = log10 H, sigma_i known. With F the curve of unit
// gradient with toe and shoulder (toe_and_shoulder.hpp):
//
//   D_i      = base + g F(x_i; toe, shoulder, widths) + departure(x_i) + noise_i
//   gradient   G(x) = g dF/dx, density per log10 H
//   departure  normal, mean 0, covariance 0.04^2 G(x) G(y) (1 + r) exp(-r),
//              r = sqrt(3) |x - y| / 0.60: real curves wander by 0.04 log H along the exposure axis
//   noise_i    normal, variance sigma_i^2 + (exposure_sigma G(x_i))^2
//
// Six parameters p: base (density), ln g, toe (log10 H), ln toe width, shoulder - toe (log10 H), ln
// shoulder width. All but the toe have normal priors (curve_fit.cpp). p maximises the posterior
// density; as the covariance C of the data depends on G, fit and C take turns: four times, then a
// last fit. With ' for a transpose, J the slopes of weighted residuals and prior residuals, S those
// of the D_i, K = departure(x, x_i), m = D - form at the steps:
//
//   covariance of p       (J' J)^-1
//   net density at x      form(x) + K C^-1 m
//   covariance of those   A (J' J)^-1 A' + departure(x, x) - K C^-1 K',  A = slopes(x) - K C^-1 S
//
// Sum of squares over n - 1 (n steps and 5 priors less 6 parameters) is chi^2. Where it exceeds 1
// by more than chance (two standard deviations, 2 sqrt(2 / (n - 1))), all covariances are
// multiplied by it.
//
// Assumes. Density rises with exposure; errors of steps are independent and normal; the posterior
// is normal about its greatest density. The form's priors are those of published curves.
//
// Costs. Five Levenberg-Marquardt searches over n steps, each trial an integration of F in spans of
// 0.02 log H and n^2 for the covariance; n^3 a turn.
//
// Accurate. Nine steps a stop apart find a simulated film's speed point to 0.05 stop and its
// average gradient to 2 % in 90 % of trials
// (FilmTest.nine_steps_find_speed_and_contrast_of_a_simulated_film). Its intervals hold as they
// say, with exact exposures and with a camera that scatters by 0.08 stop
// (FilmTest.intervals_hold_the_truth_where_the_camera_scatters). Against readings of real film:
// speed point to 0.045 log H, gradient to 3 %, residual under 0.012 density
// (FilmTest.development_series_matches_StepWedge); colour speeds to 0.05 stop
// (FilmTest.colour_table_matches_ISO5800). Through scans: film_studies card (tests/validation).
//
// Fails. It throws InputError (malformed), with what to check: fewer than 4 steps; exposures over
// 20 powers of ten; densities that do not rise, or fall by more than 0.3; steps that hardly differ;
// steps that cannot separate the six parameters; scatter above 2.5 times what noise and form
// explain, which names the step farthest off (FilmTest.refuses_what_is_no_series,
// FilmTest.a_slip_in_a_table_ends_in_an_answer_or_a_refusal). Beyond the steps it answers from the
// priors, with wide covariance.
//
// Source. Gaussian process about a parametric mean [Rasmussen2006, 2.7], Matern covariance of order
// 3/2 [Rasmussen2006, eq. 4.17]; the search [Marquardt1963]. The form, its priors and the two
// numbers of the departure are judged on [StepWedge], [KodakE4050] and [PhotrioSoftplus].

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

/// A curve fitted to samples: a form with toe and shoulder, and a smooth departure from it that
/// follows real films where the samples show it. The uncertainty holds both.
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
  using Parameters = Eigen::VectorXd;  ///< by Parameter, in curve_fit.cpp

  /// The samples, sorted, and what is known of base + fog before the fit.
  struct Steps;

  Steps take(const CurveSamples& samples);
  Parameters start_from(const Steps& steps) const;
  Eigen::VectorXd residuals(const Parameters& at, const Steps& steps) const;
  void search(const Steps& steps);
  void judge(const Steps& steps);
  void read_parameters(const Parameters& parameters);
  Eigen::MatrixXd covariance_of(const Steps& steps) const;
  Eigen::MatrixXd slopes(std::span<const double> rising) const;
  Eigen::MatrixXd departure(std::span<const double> a, std::span<const double> b) const;

  std::vector<double> log_h_;  ///< rising
  Eigen::VectorXd density_;
  double base_ = 0;
  double scale_ = 1;
  ToeAndShoulder form_{0, 1, 1, 1};
  Parameters parameters_;
  Eigen::MatrixXd parameter_covariance_;
  double sum_of_squares_ = 0;           ///< of the weighted residuals, priors included
  Eigen::LLT<Eigen::MatrixXd> factor_;  ///< of the samples' covariance, departure included
  Eigen::MatrixXd inverse_;             ///< of the samples' covariance
  Eigen::VectorXd weighted_;            ///< inverse_ times sample less form
  Eigen::MatrixXd sample_slopes_;
  double residual_ = 0;
  double excess_ = 1;  ///< scatter over what noise, exposures and the form explain
};

}  // namespace basefog::film
