// SPDX-License-Identifier: GPL-3.0-or-later
#include "ensemble/film_evidence.hpp"

#include <Eigen/Dense>
#include <array>
#include <optional>
#include <vector>

#include "ensemble/weights.hpp"
#include "film/film_matrix.hpp"

namespace basefog::ensemble {
namespace {

using film::FilmParameter;

/// The parameter of the film that a latent moves; nothing for the others.
std::optional<FilmParameter> parameter_of(Latent latent) {
  switch (latent) {
    case Latent::contrast:
      return FilmParameter::contrast;
    case Latent::toe:
      return FilmParameter::toe;
    case Latent::shoulder:
      return FilmParameter::shoulder;
    case Latent::upper_gradient:
      return FilmParameter::upper_part;
    case Latent::red_gradient:
      return FilmParameter::red_gradient;
    case Latent::red_place:
      return FilmParameter::red_place;
    case Latent::blue_gradient:
      return FilmParameter::blue_gradient;
    case Latent::blue_place:
      return FilmParameter::blue_place;
    case Latent::speed:  // agreement is free of a bias that all frames have
    case Latent::base:
    case Latent::response:
      return std::nullopt;
  }
  return std::nullopt;
}

/// A quadratic in some latents.
struct Quadratic {
  Eigen::MatrixXd bend;   ///< C
  Eigen::VectorXd slope;  ///< b
};

/// One row a member: 1, each latent, each pair of latents.
Eigen::MatrixXd terms_of(std::span<const Member> members, const std::vector<Latent>& latents) {
  const auto k = static_cast<Eigen::Index>(latents.size());
  Eigen::MatrixXd terms(static_cast<Eigen::Index>(members.size()), (k + 1) * (k + 2) / 2);
  for (Eigen::Index m = 0; m < terms.rows(); ++m) {
    const Member& member = members[static_cast<std::size_t>(m)];
    const auto z = [&](Eigen::Index i) { return member.z[latents[static_cast<std::size_t>(i)]]; };
    Eigen::Index column = 0;
    terms(m, column++) = 1;
    for (Eigen::Index i = 0; i < k; ++i) terms(m, column++) = z(i);
    for (Eigen::Index i = 0; i < k; ++i) {
      for (Eigen::Index j = 0; j <= i; ++j) terms(m, column++) = -z(i) * z(j) / (i == j ? 2 : 1);
    }
  }
  return terms;
}

Quadratic fit(std::span<const Member> members, std::span<const double> log_likelihood,
              const std::vector<Latent>& latents) {
  constexpr double kLeastEffective = 1.0 / 3;
  constexpr double kRidge = 0.02;  // of a member's weight; tenths of a slope stay (judgement)
  std::vector<double> logs;
  for (std::size_t m = 0; m < members.size(); ++m) {
    logs.push_back(log_likelihood[m] - members[m].log_density);
  }
  const std::vector<double> weights = tempered(logs, kLeastEffective);
  const double effective = effective_number(weights);
  const Eigen::VectorXd weight =
      Eigen::Map<const Eigen::VectorXd>(weights.data(), static_cast<Eigen::Index>(weights.size())) *
      effective;
  const Eigen::MatrixXd terms = terms_of(members, latents);
  const Eigen::Map<const Eigen::VectorXd> value(log_likelihood.data(), terms.rows());
  Eigen::MatrixXd normal = terms.transpose() * weight.asDiagonal() * terms;
  normal.diagonal().tail(normal.cols() - 1).array() += kRidge;
  const double middle = weight.dot(value) / weight.sum();
  const Eigen::VectorXd found = normal.ldlt().solve(terms.transpose() * weight.asDiagonal() *
                                                    (value.array() - middle).matrix());

  const auto k = static_cast<Eigen::Index>(latents.size());
  Quadratic quadratic{Eigen::MatrixXd(k, k), found.segment(1, k)};
  Eigen::Index column = k + 1;
  for (Eigen::Index i = 0; i < k; ++i) {
    for (Eigen::Index j = 0; j <= i; ++j) {
      quadratic.bend(i, j) = quadratic.bend(j, i) = found[column++];
    }
  }
  return quadratic;
}

/// Integrated over the latents from `kept` on, standard normal by their prior.
Quadratic without_last(const Quadratic& all, Eigen::Index kept) {
  const Eigen::Index gone = all.slope.size() - kept;
  if (gone == 0) return all;
  Eigen::MatrixXd own = all.bend.bottomRightCorner(gone, gone);
  own.diagonal().array() += 1;
  const Eigen::MatrixXd across = all.bend.topRightCorner(kept, gone);
  const Eigen::MatrixXd solved = own.ldlt().solve(across.transpose()).transpose();
  return {all.bend.topLeftCorner(kept, kept) - solved * across.transpose(),
          all.slope.head(kept) - solved * all.slope.tail(gone)};
}

}  // namespace

film::FilmEvidence film_evidence(std::span<const Member> members,
                                 std::span<const double> log_likelihood,
                                 const EnumArray<Latent, bool>& used,
                                 const film::FilmProfile& film) {
  std::vector<Latent> latents;
  std::vector<Latent> others;
  for (const Latent latent : every<Latent>()) {
    if (!used[latent] || latent == Latent::speed) continue;
    (parameter_of(latent) ? latents : others).push_back(latent);
  }
  const auto kept = static_cast<Eigen::Index>(latents.size());
  latents.insert(latents.end(), others.begin(), others.end());
  const Quadratic found = without_last(fit(members, log_likelihood, latents), kept);

  const film::FilmBelief before = film::belief_in(film);
  film::ParameterMatrix information = film::ParameterMatrix::Zero();
  film::ParameterVector toward = film::ParameterVector::Zero();
  for (Eigen::Index i = 0; i < kept; ++i) {
    const FilmParameter a = *parameter_of(latents[static_cast<std::size_t>(i)]);
    const auto row = static_cast<Eigen::Index>(a);
    toward[row] = found.slope[i] / before.sigma(a);
    for (Eigen::Index j = 0; j < kept; ++j) {
      const FilmParameter b = *parameter_of(latents[static_cast<std::size_t>(j)]);
      information(row, static_cast<Eigen::Index>(b)) =
          found.bend(i, j) / (before.sigma(a) * before.sigma(b));
    }
  }
  return film::rising_only(information, toward);
}

}  // namespace basefog::ensemble
