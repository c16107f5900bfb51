// SPDX-License-Identifier: GPL-3.0-or-later
#include "evidence/contrast_fit.hpp"

#include <Eigen/Dense>
#include <algorithm>
#include <array>
#include <cmath>
#include <set>

#include "basefog/core/film_facts.hpp"
namespace basefog::evidence {
namespace {

/// Error of each difference by scanner flare, density; and by taking the wander of the gradient at
/// the mean of both densities for its mean between them, as a share of the difference (judgement).
constexpr double kReadingSigma = 0.002;
constexpr double kBetweenSigma = 0.05;

/// How far real curves' gradients wander about the form of the film's profile at a density.
double wander_sigma(double density) {
  return film_facts::kWander +
         film_facts::kWanderInToe * std::exp(-std::max(0.0, density) / film_facts::kToeDensity);
}

/// Covariance of the gradient's wander at two densities, as shares of the gradient.
double wander(double a, double b) {
  return wander_sigma(a) * wander_sigma(b) * std::exp(-std::abs(a - b) / film_facts::kWanderSpan);
}

/// Scatters of exposure that are tried, as factors of the one assumed, with the standard deviation
/// of its logarithm: a camera may be far steadier than most, or worse (judgement). Coarser steps
/// jump between "exact" and "useless"; what intervals do under them stands in
/// tests/validation/STUDIES.md.
constexpr std::array kScatterFactors = {0.1, 0.25, 0.5, 0.75, 1.0, 1.4, 2.0};
constexpr double kLogScatterSigma = 0.8;

enum Place : Eigen::Index { kContrast, kToe, kShoulder, kParameters };

/// Varies a film within what curves can be, in ln of contrast and in stops; the priors keep
/// parameters there.
constexpr double kFarthestLogFactor = 1.0;
constexpr double kFarthestShoulder = 6.0;
film::FilmProfile varied(const film::FilmProfile& film, double log_factor, double toe,
                         double shoulder) {
  return film
      .with_contrast(std::exp(std::clamp(log_factor, -kFarthestLogFactor, kFarthestLogFactor)))
      .with_toe(std::clamp(toe, film_facts::kShortestToeTried, film_facts::kLongestToeFitted))
      .with_shoulder(Stops(std::clamp(shoulder, -kFarthestShoulder, kFarthestShoulder)));
}

/// Difference of density that a step of exposure makes where the mean of both densities is `mean`:
/// Newton from the exposure that `mean` alone would have.
double predicted_difference(const film::CharacteristicCurve& curve, double mean, double step) {
  const Stops half(step / 2);
  Stops x = curve.exposure(NetDensity(mean));
  constexpr int kMostSteps = 12;        // Newton doubles digits each time
  constexpr double kSettled = 1e-7;     // stops
  constexpr double kLeastSlope = 1e-3;  // density a stop; keeps steps finite where a curve is flat
  for (int i = 0; i < kMostSteps; ++i) {
    const double miss =
        (curve.density(x - half).value() + curve.density(x + half).value()) / 2 - mean;
    const double slope = (curve.gradient(x - half) + curve.gradient(x + half)) / 2 * kLog10PerStop;
    const double move = std::clamp(miss / std::max(slope, kLeastSlope), -1.0, 1.0);
    x -= Stops(move);
    if (std::abs(move) < kSettled) break;
  }
  return (curve.density(x + half) - curve.density(x - half)).value();
}

/// True where both frames' densities lie on the readable part of the curve.
bool readable(const film::CharacteristicCurve& curve, double mean, double step) {
  const Stops x = curve.exposure(NetDensity(mean));
  return x - Stops(std::abs(step) / 2) > curve.lowest() &&
         x + Stops(std::abs(step) / 2) < curve.highest();
}

/// One class of densities of one pair of frames.
struct Datum {
  std::size_t first, second;
  double step;  ///< logged, stops
  const DensityPair* density;
};

/// Everything linear in the unknowns but the curve's three parameters: exposures and bases are off
/// by errors of known size, and so is the form of the curve, which makes the data's covariance.
class LinearModel {
 public:
  LinearModel(const ContrastProblem& problem, const std::vector<Datum>& data,
              const film::FilmProfile& film)
      : problem_(problem), data_(data), slope_(static_cast<Eigen::Index>(data.size())) {
    std::set<std::size_t> layers;
    for (const Datum& d : data) layers.insert(d.density->layer);
    layers_ = std::max(1.0, static_cast<double>(layers.size()));
    const Eigen::Index n = slope_.size();
    constexpr double kHalfStep = 0.05;  // stops, of the slope by differences
    for (Eigen::Index i = 0; i < n; ++i) {
      const Datum& d = at(i);
      const film::CharacteristicCurve& curve = film.layers[d.density->layer].curve;
      slope_[i] = (predicted_difference(curve, d.density->mean, d.step + kHalfStep) -
                   predicted_difference(curve, d.density->mean, d.step - kHalfStep)) /
                  (2 * kHalfStep);
    }
    Eigen::MatrixXd covariance(n, n);
    for (Eigen::Index i = 0; i < n; ++i) {
      for (Eigen::Index j = 0; j <= i; ++j) {
        covariance(i, j) = covariance(j, i) = shared(i, j);
      }
      const double between = kBetweenSigma * at(i).density->difference;
      covariance(i, i) += at(i).density->sigma * at(i).density->sigma +
                          kReadingSigma * kReadingSigma + between * between;
    }
    const Eigen::LLT<Eigen::MatrixXd> factor(covariance);
    inverse_ = factor.solve(Eigen::MatrixXd::Identity(n, n));
    log_determinant_ = 2 * factor.matrixLLT().diagonal().array().log().sum();
  }

  const Eigen::MatrixXd& inverse() const { return inverse_; }
  double log_determinant() const { return log_determinant_; }

  /// Covariance of the data with one frame's exposure error.
  Eigen::VectorXd with_exposure(std::size_t frame) const {
    Eigen::VectorXd result(slope_.size());
    for (Eigen::Index i = 0; i < result.size(); ++i) {
      result[i] =
          sign(at(i), frame) * slope_[i] * problem_.exposure_sigma * problem_.exposure_sigma;
    }
    return result;
  }

  /// Covariance of the data with the mean wander of the gradient over ISO 6's triangle and over the
  /// layers, which wander each on its own, and that mean's own variance.
  Eigen::VectorXd with_mean_wander() const {
    Eigen::VectorXd result(slope_.size());
    for (Eigen::Index i = 0; i < result.size(); ++i) {
      const DensityPair& density = *at(i).density;
      result[i] = density.difference * mean_wander(density.mean) / layers_;
    }
    return result;
  }
  double mean_wander_variance() const {
    double sum = 0;
    for (int k = 0; k < kTriangleSteps; ++k) sum += mean_wander(triangle(k)) / kTriangleSteps;
    return sum / layers_;
  }

 private:
  static constexpr int kTriangleSteps = 16;  // 0.05 of density each, far less than kWanderSpan
  /// Densities of the triangle, from 0.1 to 0.9 above base.
  static double triangle(int k) { return 0.1 + 0.8 * (k + 0.5) / kTriangleSteps; }
  static double mean_wander(double density) {
    double sum = 0;
    for (int k = 0; k < kTriangleSteps; ++k) {
      sum += wander(density, triangle(k)) / kTriangleSteps;
    }
    return sum;
  }

  const Datum& at(Eigen::Index i) const { return data_[static_cast<std::size_t>(i)]; }
  static double sign(const Datum& d, std::size_t frame) {
    return (d.second == frame ? 1.0 : 0.0) - (d.first == frame ? 1.0 : 0.0);
  }
  double shared(Eigen::Index i, Eigen::Index j) const {
    const Datum& a = at(i);
    const Datum& b = at(j);
    double exposures = 0;
    double bases = 0;
    for (const std::size_t frame : {a.first, a.second}) {
      const double both = sign(a, frame) * sign(b, frame);
      const double base = problem_.base_sigma[frame];
      exposures += both * problem_.exposure_sigma * problem_.exposure_sigma;
      bases += both * base * base;
    }
    const double form =
        a.density->layer == b.density->layer ? wander(a.density->mean, b.density->mean) : 0.0;
    return slope_[i] * slope_[j] * exposures + bases +
           a.density->difference * b.density->difference * form;
  }

  const ContrastProblem& problem_;
  const std::vector<Datum>& data_;
  double layers_ = 1;      ///< that have data
  Eigen::VectorXd slope_;  ///< change of each difference with its step, density a stop
  Eigen::MatrixXd inverse_;
  double log_determinant_ = 0;
};

std::vector<Datum> readable_data(const ContrastProblem& problem, const film::FilmProfile& film) {
  std::vector<Datum> data;
  for (const FramePair& pair : problem.pairs) {
    const double step = problem.logged[pair.second] - problem.logged[pair.first];
    for (const DensityPair& density : pair.densities) {
      if (readable(film.layers.at(density.layer).curve, density.mean, step)) {
        data.push_back({pair.first, pair.second, step, &density});
      }
    }
  }
  return data;
}

film::FilmProfile varied(const film::FilmProfile& film, const Eigen::Vector3d& p) {
  return varied(film, p[kContrast], p[kToe], p[kShoulder]);
}

Eigen::VectorXd misses(const std::vector<Datum>& data, const film::FilmProfile& film) {
  Eigen::VectorXd miss(static_cast<Eigen::Index>(data.size()));
  for (Eigen::Index i = 0; i < miss.size(); ++i) {
    const Datum& d = data[static_cast<std::size_t>(i)];
    miss[i] = d.density->difference -
              predicted_difference(film.layers[d.density->layer].curve, d.density->mean, d.step);
  }
  return miss;
}

struct ScatterFit {
  ContrastFit fit;
  Eigen::Vector3d mean = Eigen::Vector3d::Zero();  ///< of contrast, toe and shoulder
  Eigen::Matrix3d covariance;
  Eigen::Vector3d prior_sigma;
  double log_evidence = 0;
};

/// What the frames said of the film: the fit less its priors.
film::FilmEvidence evidence_of(const ScatterFit& found, const film::FilmProfile& film) {
  using enum film::FilmParameter;
  constexpr std::array kOrder = {contrast, toe, shoulder};
  film::FilmBelief before = film::belief_in(film);
  for (int i = 0; i < kParameters; ++i) {
    before.covariance[kOrder.at(i)][kOrder.at(i)] = std::pow(found.prior_sigma[i], 2);
  }
  film::FilmBelief after = before;
  for (int i = 0; i < kParameters; ++i) {
    after.mean[kOrder.at(i)] = found.mean[i];
    for (int k = 0; k < kParameters; ++k) {
      after.covariance[kOrder.at(i)][kOrder.at(k)] = found.covariance(i, k);
    }
  }
  const auto measured = [&](film::FilmParameter parameter, double sigma) {
    double& variance = after.covariance[parameter][parameter];
    variance = std::min(variance, sigma * sigma);
  };
  for (const auto gradient : {red_gradient, blue_gradient}) {
    measured(gradient, film_facts::kMeasuredLayerGradientSigma);
  }
  for (const auto place : {red_place, blue_place}) {
    measured(place, film_facts::kMeasuredLayerSigma);
  }
  return film::evidence_between(before, after);
}

/// The fit under one scatter of exposures.
ScatterFit fit_with_scatter(const ContrastProblem& problem, const std::vector<Datum>& data,
                            const film::FilmProfile& film) {
  ContrastFit fit;
  // A profile that claims to know its ends to nothing would leave no slope to find them by.
  constexpr double kLeastToeSigma = 0.01;
  constexpr double kLeastShoulderSigma = 0.05;
  const Eigen::Vector3d prior_sigma(problem.contrast_sigma,
                                    std::max(kLeastToeSigma, film.toe_sigma_stops),
                                    std::max(kLeastShoulderSigma, problem.shoulder_sigma));
  const Eigen::Vector3d prior = prior_sigma.array().square().inverse();
  fit.exposure_error.assign(problem.logged.size(), 0);
  fit.log_factor_sigma = problem.contrast_sigma;
  if (data.empty()) {
    return {
        .fit = fit, .covariance = prior.cwiseInverse().asDiagonal(), .prior_sigma = prior_sigma};
  }

  // Gauss and Newton with the priors as data [Marquardt1963]; the covariance follows the film.
  Eigen::Vector3d p = Eigen::Vector3d::Zero();
  Eigen::MatrixXd slopes(static_cast<Eigen::Index>(data.size()), Eigen::Index{kParameters});
  Eigen::Matrix3d information;
  constexpr int kRounds = 12;          // it settles sooner; each costs a fit of the covariance
  constexpr double kSmallMove = 1e-3;  // of each parameter's prior sigma
  constexpr double kSlopeStep = 0.02;  // likewise
  for (int round = 0; round < kRounds; ++round) {
    const LinearModel model(problem, data, varied(film, p));
    const Eigen::VectorXd miss = misses(data, varied(film, p));
    for (Eigen::Index i = 0; i < kParameters; ++i) {
      const double step = kSlopeStep * prior_sigma[i];
      Eigen::Vector3d moved = p;
      moved[i] += step;
      slopes.col(i) = (miss - misses(data, varied(film, moved))) / step;
    }
    const Eigen::MatrixXd weighted = model.inverse() * slopes;
    information = slopes.transpose() * weighted;
    information.diagonal() += prior;
    const Eigen::Vector3d downhill =
        weighted.transpose() * miss - Eigen::Vector3d(prior.cwiseProduct(p));
    Eigen::Vector3d move = information.ldlt().solve(downhill);
    move = move.cwiseMax(-prior_sigma).cwiseMin(prior_sigma);
    p += move;
    if (move.cwiseQuotient(prior_sigma).cwiseAbs().maxCoeff() < kSmallMove) break;
  }
  const film::FilmProfile found = varied(film, p);
  const LinearModel model(problem, data, found);
  const Eigen::VectorXd miss = misses(data, found);
  const Eigen::VectorXd explained = model.inverse() * miss;
  const Eigen::Matrix3d covariance = information.inverse();
  // Laplace's approximation.
  const double log_evidence =
      -(miss.dot(explained) + p.dot(Eigen::Vector3d(prior.cwiseProduct(p))) +
        model.log_determinant() + std::log(information.determinant())) /
      2;

  // The average gradient is the form's times the mean wander over the triangle.
  const Eigen::VectorXd towards = model.with_mean_wander();
  Eigen::Vector3d lever = -(slopes.transpose() * (model.inverse() * towards));
  lever[kContrast] += 1;
  fit.log_factor = p[kContrast] + towards.dot(explained);
  // What the three are together once the wander is in the contrast.
  Eigen::Matrix3d levers = Eigen::Matrix3d::Identity();
  levers.row(kContrast) = lever;
  Eigen::Matrix3d together = levers * covariance * levers.transpose();
  together(kContrast, kContrast) +=
      std::max(0.0, model.mean_wander_variance() - towards.dot(model.inverse() * towards));
  fit.log_factor_sigma = std::sqrt(together(kContrast, kContrast));
  fit.surprise = std::pow(p[kContrast] / problem.usual_contrast_sigma, 2);
  for (std::size_t k = 0; k < problem.logged.size(); ++k) {
    fit.exposure_error[k] = model.with_exposure(k).dot(explained);
    fit.surprise += std::pow(fit.exposure_error[k] / problem.exposure_sigma, 2);
  }
  Eigen::Vector3d mean = p;
  mean[kContrast] = fit.log_factor;
  Eigen::Vector3d sigma = prior_sigma;
  sigma[kContrast] = std::hypot(sigma[kContrast], std::sqrt(model.mean_wander_variance()));
  return {fit, mean, together, sigma, log_evidence};
}

}  // namespace

ContrastFit fit_contrast(const ContrastProblem& problem, const film::FilmProfile& film) {
  const std::vector<Datum> data = readable_data(problem, film);
  std::vector<ScatterFit> tried;
  for (const double factor : kScatterFactors) {
    ContrastProblem under = problem;
    under.exposure_sigma *= factor;
    tried.push_back(fit_with_scatter(under, data, film));
    tried.back().log_evidence -= std::pow(std::log(factor) / kLogScatterSigma, 2) / 2;
  }
  const auto best = std::ranges::max_element(tried, {}, &ScatterFit::log_evidence);
  // Each scatter counts by its evidence; they differ in what they find, too.
  double weights = 0;
  double mean = 0;
  double square = 0;
  for (const ScatterFit& one : tried) {
    const double weight = std::exp(one.log_evidence - best->log_evidence);
    weights += weight;
    mean += weight * one.fit.log_factor;
    square += weight * (std::pow(one.fit.log_factor, 2) + std::pow(one.fit.log_factor_sigma, 2));
  }
  ScatterFit found = *best;
  ContrastFit& fit = found.fit;
  fit.log_factor = mean / weights;
  fit.log_factor_sigma = std::sqrt(std::max(0.0, square / weights - std::pow(mean / weights, 2)));
  const double wider = fit.log_factor_sigma / best->fit.log_factor_sigma;
  found.mean[kContrast] = fit.log_factor;
  found.covariance.row(kContrast) *= wider;
  found.covariance.col(kContrast) *= wider;
  if (!data.empty()) fit.evidence = evidence_of(found, film);
  // Whether the log can be right is judged by the scatter assumed, not by one made to fit.
  const auto assumed = std::ranges::find(kScatterFactors, 1.0) - kScatterFactors.begin();
  fit.surprise = tried[static_cast<std::size_t>(assumed)].fit.surprise;
  fit.exposure_error = tried[static_cast<std::size_t>(assumed)].fit.exposure_error;
  return fit;
}

}  // namespace basefog::evidence
