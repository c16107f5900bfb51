// SPDX-License-Identifier: GPL-3.0-or-later
#include "film/curve_fit.hpp"

#include <fmt/format.h>

#include <Eigen/Dense>
#include <algorithm>
#include <cmath>
#include <numeric>

#include "basefog/core/error.hpp"
#include "basefog/core/film_facts.hpp"
#include "basefog/core/units.hpp"
#include "numeric/least_squares.hpp"
#include "numeric/rising_share.hpp"

namespace basefog::film {
namespace {

/// What the parameters may be before the data speak, with film_facts.
const film_facts::Spread kLogGradient{std::log(film_facts::kStraightGradient),
                                      film_facts::kLogStraightGradientSigma};
const film_facts::Spread kLogToeWidth{std::log(film_facts::kFittedToeWidth),
                                      film_facts::kLogToeWidthSigma};
const film_facts::Spread kLogShoulderWidth{std::log(film_facts::kFittedShoulderWidth),
                                           film_facts::kLogShoulderWidthSigma};
using film_facts::kDeparture;
using film_facts::kDepartureSpan;
using film_facts::kShoulderAboveToe;

/// No film's exposures span so many powers of ten.
constexpr double kMostLogRange = 20;

/// More exposure makes no negative thinner; noise and a shutter a stop off its mark lower a density
/// by less than this (judgement).
constexpr double kMostFall = 0.3;

/// Scatter beyond what noise, exposures and the form explain, as their multiple, that a slip makes
/// and no film does (judgement).
constexpr double kMostExcess = 2.5;

std::vector<std::size_t> rising_order(const std::vector<double>& log_h) {
  std::vector<std::size_t> order(log_h.size());
  std::iota(order.begin(), order.end(), std::size_t{0});
  std::stable_sort(order.begin(), order.end(),
                   [&](std::size_t a, std::size_t b) { return log_h[a] < log_h[b]; });
  return order;
}

/// A misprinted density leaves no curve near the others, and the search for one takes long.
void check_that_no_density_falls(const CurveSamples& samples) {
  const std::vector<std::size_t> order = rising_order(samples.log_h);
  std::size_t densest = order.front();
  for (const std::size_t i : order) {
    const double fall = samples.density[densest] - samples.density[i];
    if (fall > kMostFall && samples.log_h[densest] < samples.log_h[i]) {
      throw InputError(ErrorCode::malformed, {},
                       fmt::format("has density {:.2f} at log H {:.2f}, but only {:.2f} with more "
                                   "exposure, at {:.2f}",
                                   samples.density[densest], samples.log_h[densest],
                                   samples.density[i], samples.log_h[i]),
                       "check both for a misprint or a wrong row, or leave one out");
    }
    if (fall < 0) densest = i;
  }
}

void check(const CurveSamples& samples) {
  const std::string next = "give at least 4 steps over which density rises";
  if (samples.log_h.size() < 4) {
    throw InputError(ErrorCode::malformed, {}, "has fewer than 4 steps", next);
  }
  const auto [first, last] = std::minmax_element(samples.log_h.begin(), samples.log_h.end());
  if (!(*last - *first < kMostLogRange)) {
    throw InputError(ErrorCode::malformed, {}, "has exposures over more than 20 powers of ten",
                     "give exposures as log10 H, not as lux seconds");
  }
  // Toes and shoulders read level, within the noise (judgement).
  constexpr double kLeastRising = 0.8;
  if (numeric::rising_share(samples.log_h, samples.density) < kLeastRising) {
    throw InputError(ErrorCode::malformed, {},
                     "has densities that do not rise with exposure, as a negative's do",
                     "check the order of the steps, and for misprints");
  }
  check_that_no_density_falls(samples);
  const auto [least, most] = std::minmax_element(samples.density.begin(), samples.density.end());
  if (!(*most - *least > 0.1)) {
    throw InputError(ErrorCode::malformed, {}, "has steps that hardly differ in density", next);
  }
}

ToeAndShoulder form_of(const Eigen::VectorXd& p) {
  return {p[2], std::exp(p[3]), p[2] + p[4], std::exp(p[5])};
}

/// Net density of the form at rising exposures.
Eigen::VectorXd form_density(const Eigen::VectorXd& p, std::span<const double> rising) {
  const ToeAndShoulder form = form_of(p);
  // The search may try any place and width; where no film has them there is no density, and the
  // step is taken back.
  const double foot = std::min(rising.front(), form.toe - 6 * form.toe_width);
  if (!(rising.back() - foot < 3 * kMostLogRange)) {
    return Eigen::VectorXd::Constant(std::ssize(rising), std::nan(""));
  }
  const std::vector<double> shape = form.densities(rising);
  return std::exp(p[1]) *
         Eigen::Map<const Eigen::VectorXd>(shape.data(), static_cast<Eigen::Index>(shape.size()));
}

}  // namespace

CurveFit::CurveFit(const CurveSamples& samples) {
  check(samples);
  fit(samples);
}

void CurveFit::read_parameters(const Parameters& p) {
  base_ = p[0];
  scale_ = std::exp(p[1]);
  form_ = form_of(p);
}

/// Change of net density with each parameter but base, whose own column is zero.
Eigen::MatrixXd CurveFit::slopes(std::span<const double> rising) const {
  constexpr double kStep = 1e-5;  // parameters are about 1
  Eigen::MatrixXd result =
      Eigen::MatrixXd::Zero(static_cast<Eigen::Index>(rising.size()), kParameters);
  for (int i = 1; i < kParameters; ++i) {
    Parameters below = parameters_;
    Parameters above = parameters_;
    below[i] -= kStep;
    above[i] += kStep;
    result.col(i) = (form_density(above, rising) - form_density(below, rising)) / (2 * kStep);
  }
  return result;
}

/// A Matern process of order 3/2, since published curves have kinks a smooth one would deny.
Eigen::MatrixXd CurveFit::departure(std::span<const double> a, std::span<const double> b) const {
  const auto gradient = [&](double x) { return scale_ * form_.gradient(x); };
  Eigen::MatrixXd k(static_cast<Eigen::Index>(a.size()), static_cast<Eigen::Index>(b.size()));
  for (std::size_t i = 0; i < a.size(); ++i) {
    for (std::size_t j = 0; j < b.size(); ++j) {
      const double distance = std::sqrt(3.0) * std::abs(a[i] - b[j]) / kDepartureSpan;
      k(static_cast<Eigen::Index>(i), static_cast<Eigen::Index>(j)) =
          kDeparture * kDeparture * gradient(a[i]) * gradient(b[j]) * (1 + distance) *
          std::exp(-distance);
    }
  }
  return k;
}

void CurveFit::fit(const CurveSamples& samples) {
  const std::vector<std::size_t> order = rising_order(samples.log_h);
  const auto n = static_cast<Eigen::Index>(order.size());
  density_.resize(n);
  Eigen::VectorXd variance(n);
  for (Eigen::Index i = 0; i < n; ++i) {
    const std::size_t from = order[static_cast<std::size_t>(i)];
    log_h_.push_back(samples.log_h[from]);
    density_[i] = samples.density[from];
    variance[i] = samples.sigma[from] * samples.sigma[from];
  }
  const film_facts::Spread base = samples.base
                                      ? film_facts::Spread{*samples.base, samples.base_sigma}
                                      : film_facts::Spread{density_.minCoeff(), 0.5};
  // The toe starts where density is a tenth of its way up.
  const double tenth = density_.minCoeff() + 0.1 * (density_.maxCoeff() - density_.minCoeff());
  Eigen::Index first_above = 0;
  while (first_above + 1 < n && density_[first_above] < tenth) ++first_above;
  Parameters p(kParameters);
  p << base.middle, kLogGradient.middle, log_h_[static_cast<std::size_t>(first_above)],
      kLogToeWidth.middle, kShoulderAboveToe.middle, kLogShoulderWidth.middle;

  Eigen::LLT<Eigen::MatrixXd> factor;
  const auto residuals = [&](const Parameters& at) {
    const Eigen::VectorXd miss =
        density_ - form_density(at, log_h_) - Eigen::VectorXd::Constant(n, at[0]);
    Eigen::VectorXd all(n + 5);
    all.head(n) = factor.matrixL().solve(miss);
    all[n] = (at[0] - base.middle) / base.sigma;
    all[n + 1] = (at[1] - kLogGradient.middle) / kLogGradient.sigma;
    all[n + 2] = (at[3] - kLogToeWidth.middle) / kLogToeWidth.sigma;
    all[n + 3] = (at[4] - kShoulderAboveToe.middle) / kShoulderAboveToe.sigma;
    all[n + 4] = (at[5] - kLogShoulderWidth.middle) / kLogShoulderWidth.sigma;
    return all;
  };
  // The samples' covariance hangs on the gradient, so fit and covariance take turns.
  Eigen::MatrixXd covariance = variance.asDiagonal();
  constexpr int kRounds = 4;  // judgement
  for (int round = 0; round < kRounds; ++round) {
    factor.compute(covariance);
    p = numeric::fit_least_squares(residuals, p).parameters;
    read_parameters(p);
    covariance = departure(log_h_, log_h_);
    for (Eigen::Index i = 0; i < n; ++i) {
      const double by_exposure =
          samples.exposure_sigma * scale_ * form_.gradient(log_h_[static_cast<std::size_t>(i)]);
      covariance(i, i) += variance[i] + by_exposure * by_exposure;
    }
  }
  factor.compute(covariance);
  const numeric::LeastSquaresFit last = numeric::fit_least_squares(residuals, p);
  parameters_ = last.parameters;
  parameter_covariance_ = last.covariance;
  read_parameters(parameters_);
  if (parameter_covariance_.size() == 0) {
    throw InputError(ErrorCode::malformed, {}, "has steps that do not make a curve",
                     "check exposures and densities for rows out of place");
  }
  const Eigen::VectorXd whitened = residuals(parameters_).head(n);
  // Samples and priors less parameters; the priors count as data.
  const double freedom = std::max(1.0, static_cast<double>(n + 5 - kParameters));
  const double chi_square = last.sum_of_squares / freedom;
  // Scatter that chance alone makes is no excess: two standard deviations of chi square.
  if (chi_square > 1 + 2 * std::sqrt(2 / freedom)) excess_ = std::sqrt(chi_square);
  if (excess_ > kMostExcess) {
    Eigen::Index worst = 0;
    whitened.cwiseAbs().maxCoeff(&worst);
    throw InputError(ErrorCode::malformed, {},
                     fmt::format("has a step far off the curve of the others, about density {:.2f} "
                                 "at log H {:.2f}",
                                 density_[worst], log_h_[static_cast<std::size_t>(worst)]),
                     "check it for a misprint or a wrong row, or leave it out");
  }
  inverse_ = factor.solve(Eigen::MatrixXd::Identity(n, n));
  const Eigen::VectorXd miss = factor.matrixL() * whitened;
  weighted_ = inverse_ * miss;
  sample_slopes_ = slopes(log_h_);
  sample_slopes_.col(0).setOnes();
  const Eigen::VectorXd left = miss - departure(log_h_, log_h_) * weighted_;
  residual_ = std::sqrt(left.squaredNorm() / static_cast<double>(n));
}

double CurveFit::base_sigma() const { return excess_ * std::sqrt(parameter_covariance_(0, 0)); }

double CurveFit::shoulder_sigma() const {
  Eigen::VectorXd direction = Eigen::VectorXd::Zero(kParameters);
  direction[2] = 1;
  direction[4] = 1;
  const double variance = direction.dot(parameter_covariance_ * direction);
  return excess_ * std::sqrt(variance + kDeparture * kDeparture);
}

Eigen::VectorXd CurveFit::net_density(std::span<const double> log_h) const {
  return form_density(parameters_, log_h) + departure(log_h, log_h_) * weighted_;
}

Eigen::MatrixXd CurveFit::covariance(std::span<const double> log_h) const {
  const Eigen::MatrixXd towards = departure(log_h, log_h_);
  const Eigen::MatrixXd lever = slopes(log_h) - towards * inverse_ * sample_slopes_;
  const Eigen::MatrixXd result = lever * parameter_covariance_ * lever.transpose() +
                                 departure(log_h, log_h) - towards * inverse_ * towards.transpose();
  return excess_ * excess_ * result;
}

}  // namespace basefog::film
