// SPDX-License-Identifier: GPL-3.0-or-later
#include "ensemble/member.hpp"

#include <Eigen/Dense>
#include <algorithm>
#include <array>
#include <cmath>
#include <unsupported/Eigen/SpecialFunctions>

#include "ensemble/weights.hpp"

namespace basefog::ensemble {
namespace {

constexpr std::size_t kLatents = kCountOf<Latent>;
constexpr std::array<unsigned, kLatents + 1> kPrimes = {2, 3, 5, 7, 11, 13, 17, 19, 23, 29, 31, 37};

/// The digits of i in a base, mirrored at the point [Halton1960].
double radical_inverse(std::size_t i, unsigned base) {
  double value = 0;
  double place = 1.0 / base;
  for (; i > 0; i /= base, place /= base) value += static_cast<double>(i % base) * place;
  return value;
}

double normal_quantile(double share) { return Eigen::numext::ndtri(share); }

/// Point i of the sequence as a member about zero. The first points of high bases run in step and
/// are left out.
Member point(std::size_t i) {
  constexpr std::size_t kSkipped = 409;
  Member member;
  // Most of what matters gets the small bases, which fill evenly soonest.
  constexpr std::array kOrder = {Latent::contrast,      Latent::shoulder,       Latent::response,
                                 Latent::toe,           Latent::upper_gradient, Latent::speed,
                                 Latent::base,          Latent::blue_place,     Latent::red_place,
                                 Latent::blue_gradient, Latent::red_gradient};
  static_assert(kOrder.size() == kLatents);
  for (std::size_t l = 0; l < kLatents; ++l) {
    member.z[kOrder[l]] = normal_quantile(radical_inverse(i + kSkipped, kPrimes[l + 1]));
  }
  member.metering = radical_inverse(i + kSkipped, kPrimes[0]);
  member.number = i;
  return member;
}

using Vector = Eigen::Matrix<double, kLatents, 1>;
using Matrix = Eigen::Matrix<double, kLatents, kLatents>;

Vector vector_of(const Member& member) { return Eigen::Map<const Vector>(member.z.values.data()); }

/// A normal distribution where the weights lie.
struct Target {
  Vector mean;
  Matrix root;  ///< of the covariance, lower
  double log_root = 0;

  /// Density against the standard normal's.
  double log_ratio(const Vector& z) const {
    const Vector standard = root.triangularView<Eigen::Lower>().solve(z - mean);
    return (z.squaredNorm() - standard.squaredNorm()) / 2 - log_root;
  }
};

Target target_of(std::span<const Member> members, const std::vector<double>& weights,
                 const EnumArray<Latent, bool>& used) {
  // Wider than what was found, so that its tails are drawn too; correlations of few members are
  // not believed to the last (judgement).
  constexpr double kInflated = 1.3;
  constexpr double kCorrelationsBelieved = 0.8;
  constexpr double kLeastVariance = 1e-4;
  Target target{Vector::Zero(), Matrix::Zero()};
  for (std::size_t i = 0; i < members.size(); ++i)
    target.mean += weights[i] * vector_of(members[i]);
  Matrix covariance = Matrix::Zero();
  for (std::size_t i = 0; i < members.size(); ++i) {
    const Vector d = vector_of(members[i]) - target.mean;
    covariance += weights[i] * d * d.transpose();
  }
  const Vector variance = covariance.diagonal().cwiseMax(kLeastVariance);
  covariance *= kCorrelationsBelieved * kInflated * kInflated;
  covariance.diagonal() = kInflated * kInflated * variance;
  for (Eigen::Index i = 0; i < target.mean.size(); ++i) {
    if (used.values[static_cast<std::size_t>(i)]) continue;
    target.mean(i) = 0;
    covariance.row(i).setZero();
    covariance.col(i).setZero();
    covariance(i, i) = 1;
  }
  target.root = Matrix(covariance.llt().matrixL());
  target.log_root = target.root.diagonal().array().log().sum();
  return target;
}

}  // namespace

std::vector<Member> draw_from_prior(std::size_t count) {
  std::vector<Member> members;
  for (std::size_t i = 0; i < count; ++i) members.push_back(point(i));
  return members;
}

void draw_again(std::vector<Member>& members, std::span<const double> log_likelihood,
                const EnumArray<Latent, bool>& used) {
  constexpr double kLeastEffective = 1.0 / 8;
  const std::size_t first = members.size();
  const Target target = target_of(members, tempered(log_likelihood, kLeastEffective), used);
  for (std::size_t i = 0; i < first; ++i) {
    Member member = point(first + i);
    const Vector z = target.mean + target.root * vector_of(member);
    std::copy(z.begin(), z.end(), member.z.values.begin());
    members.push_back(member);
  }
  for (Member& member : members) {
    member.log_density = std::log((1 + std::exp(target.log_ratio(vector_of(member)))) / 2);
  }
}

}  // namespace basefog::ensemble
