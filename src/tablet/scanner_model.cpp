// SPDX-License-Identifier: GPL-3.0-or-later
#include "tablet/scanner_model.hpp"

#include <algorithm>
#include <cmath>
#include <numbers>

#include "numeric/least_squares.hpp"
#include "numeric/quantile.hpp"

namespace basefog::tablet {
namespace {

/// A scanner's exponent lies well inside: 0.45 for a display curve, 1 for linear, up to 1.4
/// measured on a scan that was called linear [LeafWedge].
constexpr double kLeastExponent = 0.15;
constexpr double kMostExponent = 4.0;
/// Gain in chi-square from which one more parameter is more than chance (3 sigma).
constexpr double kWorthwhileGain = 10.0;
/// Twice the formula's four numbers: fewer steps fit a flare to their noise (judgement).
constexpr std::size_t kFewestForFlare = 8;
/// Black below the lightest code by more than this share of it is no black (judgement).
constexpr double kLowestBlack = -0.5;
/// Flare from which its search starts, as light: common scanners' (common practice).
constexpr double kUsualFlare = 1e-3;

// The parameters are scaled to about 1: black as 1 + black / unit, flare as its logarithm.
enum Parameter : Eigen::Index { kScale, kExponent, kBlack, kFlare };
/// How many of them are fitted.
constexpr Eigen::Index kPowerLaw = 2;
constexpr Eigen::Index kWithBlack = 3;
constexpr Eigen::Index kWithFlare = 4;

/// The unit of black: the darkest code, but for scans whose darkest code is 0.
double black_unit(const std::vector<ScannerStep>& steps) {
  return std::max(steps.back().code, 1.0 / 65535);
}

ScannerModel model_of(const Eigen::VectorXd& p, double unit) {
  ScannerModel model;
  model.scale = p[kScale];
  model.exponent = p[kExponent];
  if (p.size() > kBlack) model.black = (p[kBlack] - 1) * unit;
  if (p.size() > kFlare) model.flare = std::exp(p[kFlare]);
  return model;
}

struct Attempt {
  Eigen::VectorXd parameters;
  Eigen::MatrixXd covariance;
  double chi_square = 0;
  double spread = 1;  ///< of the weighted residuals, 1 or more
};

std::vector<double> weighted_residuals(const ScannerModel& model,
                                       const std::vector<ScannerStep>& steps,
                                       const std::vector<double>& sigma) {
  std::vector<double> residuals(steps.size());
  for (std::size_t i = 0; i < steps.size(); ++i) {
    residuals[i] = (model.code(steps[i].density) - steps[i].code) / sigma[i];
  }
  return residuals;
}

/// Fits again and again with weights that follow from the fit before: a density's error weighs in
/// the code by the slope of the curve there, and a step that lies off weighs less.
Attempt fit_reweighted(const std::vector<ScannerStep>& steps, double tablet_sigma,
                       Eigen::VectorXd start) {
  constexpr int kRounds = 10;     // of fits and weights (judgement)
  constexpr double kHuber = 1.5;  // in standard deviations; 95 % as sure as least squares on normal
                                  // errors is 1.345, a little wider keeps short tablets whole
  const double unit = black_unit(steps);
  Attempt attempt;
  attempt.parameters = std::move(start);
  std::vector<double> sigma(steps.size());
  std::vector<double> weight(steps.size(), 1.0);
  for (int round = 0; round < kRounds; ++round) {
    const ScannerModel before = model_of(attempt.parameters, unit);
    for (std::size_t i = 0; i < steps.size(); ++i) {
      sigma[i] = std::hypot(steps[i].sigma, tablet_sigma * before.slope(steps[i].density));
    }
    const auto residuals = [&](const Eigen::VectorXd& p) {
      Eigen::VectorXd r(static_cast<Eigen::Index>(steps.size()));
      const std::vector<double> plain = weighted_residuals(model_of(p, unit), steps, sigma);
      for (std::size_t i = 0; i < plain.size(); ++i) {
        r[static_cast<Eigen::Index>(i)] = plain[i] * weight[i];
      }
      return r;
    };
    const numeric::LeastSquaresFit fit = numeric::fit_least_squares(residuals, attempt.parameters);
    attempt.parameters = fit.parameters;
    attempt.covariance = fit.covariance;
    attempt.chi_square = fit.sum_of_squares;
    const std::vector<double> plain =
        weighted_residuals(model_of(attempt.parameters, unit), steps, sigma);
    attempt.spread = std::max(1.0, numeric::robust_sigma(plain));
    for (std::size_t i = 0; i < plain.size(); ++i) {
      const double off = std::abs(plain[i]) / (kHuber * attempt.spread);
      weight[i] = off > 1 ? 1 / std::sqrt(off) : 1.0;
    }
  }
  return attempt;
}

bool plausible(const ScannerModel& model, const std::vector<ScannerStep>& steps) {
  return std::isfinite(model.scale) && model.scale > 0 && model.exponent >= kLeastExponent &&
         model.exponent <= kMostExponent && model.black < steps.front().code &&
         model.black > kLowestBlack * steps.front().code && model.flare < 1;
}

}  // namespace

double ScannerModel::code(double density) const {
  return black + scale * std::pow(std::pow(10.0, -density) + flare, exponent);
}

double ScannerModel::slope(double density) const {
  const double light = std::pow(10.0, -density);
  return scale * exponent * std::pow(light + flare, exponent - 1) * light * std::numbers::ln10;
}

std::optional<double> ScannerModel::density(double code) const {
  if (!(code > black)) return std::nullopt;
  const double light = std::pow((code - black) / scale, 1 / exponent) - flare;
  if (!(light > 0)) return std::nullopt;
  return -std::log10(light);
}

double ScannerFit::code_sigma(double density) const {
  if (covariance.size() == 0) return 0;
  constexpr double kStep = 1e-6;  // the parameters are about 1
  Eigen::VectorXd gradient(parameters.size());
  for (Eigen::Index i = 0; i < parameters.size(); ++i) {
    Eigen::VectorXd above = parameters;
    Eigen::VectorXd below = parameters;
    above[i] += kStep;
    below[i] -= kStep;
    gradient[i] =
        (model_of(above, black_unit).code(density) - model_of(below, black_unit).code(density)) /
        (2 * kStep);
  }
  return std::sqrt(std::max(0.0, gradient.dot(covariance * gradient)));
}

ScannerFit fit_scanner_model(const std::vector<ScannerStep>& steps, double tablet_sigma) {
  const double unit = black_unit(steps);
  ScannerFit result;
  Attempt best;
  const bool power_law = steps.size() < kFewestForBlack;
  for (const double exponent : {0.45, 0.7, 1.0, 1.4}) {
    for (const double black : {0.0, 0.5}) {
      if (power_law && black > 0) continue;
      Eigen::VectorXd start(power_law ? kPowerLaw : kWithBlack);
      start[kScale] =
          (steps.front().code - black * unit) * std::pow(10.0, exponent * steps.front().density);
      start[kExponent] = exponent;
      if (!power_law) start[kBlack] = 1 + black;
      const Attempt attempt = fit_reweighted(steps, tablet_sigma, start);
      if (!plausible(model_of(attempt.parameters, unit), steps)) continue;
      if (result.found && attempt.chi_square >= best.chi_square) continue;
      best = attempt;
      result.found = true;
    }
  }
  if (!result.found) return result;
  if (steps.size() >= kFewestForFlare) {
    Eigen::VectorXd start(kWithFlare);
    start << best.parameters, std::log(kUsualFlare);
    const Attempt flared = fit_reweighted(steps, tablet_sigma, start);
    const double gain = (best.chi_square - flared.chi_square) / (flared.spread * flared.spread);
    if (gain > kWorthwhileGain && flared.covariance.size() > 0 &&
        plausible(model_of(flared.parameters, unit), steps)) {
      best = flared;
    }
  }
  result.model = model_of(best.parameters, unit);
  result.parameters = best.parameters;
  result.covariance = best.spread * best.spread * best.covariance;
  result.black_unit = unit;
  return result;
}

}  // namespace basefog::tablet
