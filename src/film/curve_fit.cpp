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

/// The six parameters of the form, logarithms where they must stay above zero.
enum Parameter : Eigen::Index {
  kBase,              ///< density of unexposed film
  kLogGradient,       ///< ln of the gradient between toe and shoulder, density per log10 H
  kToe,               ///< log10 H
  kLogToeWidth,       ///< ln of log10 H
  kShoulderAboveToe,  ///< log10 H
  kLogShoulderWidth,  ///< ln of log10 H
  kParameters
};
/// Of all but the toe, which may lie anywhere.
constexpr Eigen::Index kPriors = kParameters - 1;

/// Priors of film_facts, of what must stay above zero in logarithms.
using Prior = film_facts::Spread;
const Prior kGradientPrior{std::log(film_facts::kStraightGradient),
                           film_facts::kLogStraightGradientSigma};
const Prior kToeWidthPrior{std::log(film_facts::kFittedToeWidth), film_facts::kLogToeWidthSigma};
constexpr Prior kShoulderPrior = film_facts::kShoulderAboveToe;
const Prior kShoulderWidthPrior{std::log(film_facts::kFittedShoulderWidth),
                                film_facts::kLogShoulderWidthSigma};
/// Base + fog that nobody measured is about the thinnest sample (judgement).
constexpr double kUnknownBaseSigma = 0.5;

using film_facts::kDeparture;
using film_facts::kDepartureSpan;

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
  return {p[kToe], std::exp(p[kLogToeWidth]), p[kToe] + p[kShoulderAboveToe],
          std::exp(p[kLogShoulderWidth])};
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
  return std::exp(p[kLogGradient]) *
         Eigen::Map<const Eigen::VectorXd>(shape.data(), static_cast<Eigen::Index>(shape.size()));
}

double miss_of(double at, const Prior& prior) { return (at - prior.middle) / prior.sigma; }

}  // namespace

struct CurveFit::Steps {
  Eigen::VectorXd variance;  ///< of each density
  double exposure_sigma = 0;
  Prior base{};
};

CurveFit::CurveFit(const CurveSamples& samples) {
  check(samples);
  const Steps steps = take(samples);
  search(steps);
  judge(steps);
}

CurveFit::Steps CurveFit::take(const CurveSamples& samples) {
  const std::vector<std::size_t> order = rising_order(samples.log_h);
  const auto n = static_cast<Eigen::Index>(order.size());
  density_.resize(n);
  Steps steps{.variance = Eigen::VectorXd(n), .exposure_sigma = samples.exposure_sigma};
  for (Eigen::Index i = 0; i < n; ++i) {
    const std::size_t from = order[static_cast<std::size_t>(i)];
    log_h_.push_back(samples.log_h[from]);
    density_[i] = samples.density[from];
    steps.variance[i] = samples.sigma[from] * samples.sigma[from];
  }
  steps.base = samples.base ? Prior{*samples.base, samples.base_sigma}
                            : Prior{density_.minCoeff(), kUnknownBaseSigma};
  return steps;
}

/// Means of the priors, and the toe where density is a tenth of its way up.
CurveFit::Parameters CurveFit::start_from(const Steps& steps) const {
  const double tenth = density_.minCoeff() + 0.1 * (density_.maxCoeff() - density_.minCoeff());
  Eigen::Index first_above = 0;
  while (first_above + 1 < density_.size() && density_[first_above] < tenth) ++first_above;
  Parameters p(Eigen::Index{kParameters});
  p[kBase] = steps.base.middle;
  p[kLogGradient] = kGradientPrior.middle;
  p[kToe] = log_h_[static_cast<std::size_t>(first_above)];
  p[kLogToeWidth] = kToeWidthPrior.middle;
  p[kShoulderAboveToe] = kShoulderPrior.middle;
  p[kLogShoulderWidth] = kShoulderWidthPrior.middle;
  return p;
}

/// Samples less form, weighted by the root of their covariance's inverse, then the priors.
Eigen::VectorXd CurveFit::residuals(const Parameters& at, const Steps& steps) const {
  const Eigen::Index n = density_.size();
  const Eigen::VectorXd miss =
      density_ - form_density(at, log_h_) - Eigen::VectorXd::Constant(n, at[kBase]);
  Eigen::VectorXd all(n + kPriors);
  all.head(n) = factor_.matrixL().solve(miss);
  all.tail(kPriors) << miss_of(at[kBase], steps.base), miss_of(at[kLogGradient], kGradientPrior),
      miss_of(at[kLogToeWidth], kToeWidthPrior), miss_of(at[kShoulderAboveToe], kShoulderPrior),
      miss_of(at[kLogShoulderWidth], kShoulderWidthPrior);
  return all;
}

void CurveFit::search(const Steps& steps) {
  const auto residuals_at = [&](const Parameters& at) { return residuals(at, steps); };
  Parameters p = start_from(steps);
  Eigen::MatrixXd covariance = steps.variance.asDiagonal();
  constexpr int kRounds = 4;  // judgement
  for (int round = 0; round < kRounds; ++round) {
    factor_.compute(covariance);
    p = numeric::fit_least_squares(residuals_at, p).parameters;
    read_parameters(p);
    covariance = covariance_of(steps);
  }
  factor_.compute(covariance);
  const numeric::LeastSquaresFit last = numeric::fit_least_squares(residuals_at, p);
  parameters_ = last.parameters;
  parameter_covariance_ = last.covariance;
  sum_of_squares_ = last.sum_of_squares;
  read_parameters(parameters_);
}

/// Of the samples about the form: departure, noise, and exposures that are off.
Eigen::MatrixXd CurveFit::covariance_of(const Steps& steps) const {
  Eigen::MatrixXd covariance = departure(log_h_, log_h_);
  for (Eigen::Index i = 0; i < covariance.rows(); ++i) {
    const double by_exposure =
        steps.exposure_sigma * scale_ * form_.gradient(log_h_[static_cast<std::size_t>(i)]);
    covariance(i, i) += steps.variance[i] + by_exposure * by_exposure;
  }
  return covariance;
}

/// Refuses what is no curve; keeps what predictions need.
void CurveFit::judge(const Steps& steps) {
  if (parameter_covariance_.size() == 0) {
    throw InputError(ErrorCode::malformed, {}, "has steps that do not make a curve",
                     "check exposures and densities for rows out of place");
  }
  const Eigen::Index n = density_.size();
  const Eigen::VectorXd whitened = residuals(parameters_, steps).head(n);
  // Samples and priors less parameters; the priors count as data.
  const double freedom = std::max(1.0, static_cast<double>(n + kPriors - kParameters));
  const double chi_square = sum_of_squares_ / freedom;
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
  inverse_ = factor_.solve(Eigen::MatrixXd::Identity(n, n));
  const Eigen::VectorXd miss = factor_.matrixL() * whitened;
  weighted_ = inverse_ * miss;
  sample_slopes_ = slopes(log_h_);
  sample_slopes_.col(kBase).setOnes();
  const Eigen::VectorXd left = miss - departure(log_h_, log_h_) * weighted_;
  residual_ = std::sqrt(left.squaredNorm() / static_cast<double>(n));
}

void CurveFit::read_parameters(const Parameters& p) {
  base_ = p[kBase];
  scale_ = std::exp(p[kLogGradient]);
  form_ = form_of(p);
}

/// Change of net density with each parameter but base, whose own column is zero.
Eigen::MatrixXd CurveFit::slopes(std::span<const double> rising) const {
  constexpr double kStep = 1e-5;  // parameters are about 1
  Eigen::MatrixXd result =
      Eigen::MatrixXd::Zero(static_cast<Eigen::Index>(rising.size()), Eigen::Index{kParameters});
  for (Eigen::Index i = kBase + 1; i < kParameters; ++i) {
    Parameters below = parameters_;
    Parameters above = parameters_;
    below[i] -= kStep;
    above[i] += kStep;
    result.col(i) = (form_density(above, rising) - form_density(below, rising)) / (2 * kStep);
  }
  return result;
}

/// Matern's covariance of order 3/2 [Rasmussen2006, eq. 4.17], since published curves have kinks
/// that a smoother one would iron out.
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

double CurveFit::base_sigma() const {
  return excess_ * std::sqrt(parameter_covariance_(kBase, kBase));
}

double CurveFit::shoulder_sigma() const {
  Eigen::VectorXd direction = Eigen::VectorXd::Zero(Eigen::Index{kParameters});
  direction[kToe] = 1;
  direction[kShoulderAboveToe] = 1;
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
