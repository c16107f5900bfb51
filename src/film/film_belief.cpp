// SPDX-License-Identifier: GPL-3.0-or-later
#include "basefog/film/film_belief.hpp"

#include <fmt/format.h>

#include <algorithm>
#include <cmath>
#include <cstdint>

#include "basefog/core/film_facts.hpp"
#include "film/film_matrix.hpp"

namespace basefog::film {
namespace {

enum Layer : std::size_t { kRed, kGreen, kBlue, kLayers };

/// A profile that claims to know a number to nothing would leave no slope to learn it by.
constexpr double kLeastSigma = 1e-3;

constexpr double kFarthestLogContrast = 1;
constexpr double kFarthestShoulder = 6;  // stops
constexpr double kHardestUpperPart = 0.5;
constexpr double kSoftestUpperPart = 2;

CharacteristicCurve moved(const CharacteristicCurve& curve, std::size_t layer,
                          const FilmNumbers& by) {
  using enum FilmParameter;
  double log_contrast = by[contrast];
  double place = 0;
  if (layer == kRed) {
    log_contrast += by[red_gradient];
    place = by[red_place];
  } else if (layer == kBlue) {
    log_contrast += by[blue_gradient];
    place = by[blue_place];
  }
  return curve
      .with_contrast(
          std::exp(std::clamp(log_contrast, -kFarthestLogContrast, kFarthestLogContrast)))
      .with_toe(std::clamp(by[toe], film_facts::kShortestToeTried, film_facts::kLongestToeFitted))
      .with_shoulder(Stops(std::clamp(by[shoulder], -kFarthestShoulder, kFarthestShoulder)))
      .with_upper_part(std::clamp(1 + by[upper_part], kHardestUpperPart, kSoftestUpperPart))
      .counted_from(Stops(-place));
}

}  // namespace

FilmEvidence rising_only(const ParameterMatrix& information, const ParameterVector& toward) {
  const Eigen::SelfAdjointEigenSolver<ParameterMatrix> solver(
      (information + information.transpose()) / 2);
  const ParameterMatrix& axes = solver.eigenvectors();
  const ParameterVector along = axes.transpose() * toward;
  ParameterVector kept = ParameterVector::Zero();
  ParameterVector values = ParameterVector::Zero();
  for (int i = 0; i < kFilmParameters; ++i) {
    if (solver.eigenvalues()[i] <= 0) continue;
    values[i] = solver.eigenvalues()[i];
    kept[i] = along[i];
  }
  return {rows_of(axes * values.asDiagonal() * axes.transpose()), numbers_of(axes * kept)};
}

FilmNumbers sum(const FilmNumbers& a, const FilmNumbers& b) {
  return numbers_of(vector_of(a) + vector_of(b));
}

double FilmBelief::sigma(FilmParameter parameter) const {
  return std::sqrt(covariance[parameter][parameter]);
}

FilmEvidence& FilmEvidence::operator+=(const FilmEvidence& other) {
  information = rows_of(matrix_of(information) + matrix_of(other.information));
  toward = numbers_of(vector_of(toward) + vector_of(other.toward));
  return *this;
}

bool is_evidence(const FilmEvidence& evidence) {
  const ParameterMatrix information = matrix_of(evidence.information);
  if (!information.allFinite() || !vector_of(evidence.toward).allFinite()) return false;
  if (!information.isApprox(information.transpose())) return false;
  constexpr double kRounding = 1e-9;
  const Eigen::SelfAdjointEigenSolver<ParameterMatrix> solver(information, Eigen::EigenvaluesOnly);
  return solver.eigenvalues().minCoeff() >= -kRounding * (1 + solver.eigenvalues().maxCoeff());
}

FilmEvidence counted_from(FilmEvidence evidence, const FilmNumbers& place) {
  evidence.toward =
      numbers_of(vector_of(evidence.toward) + matrix_of(evidence.information) * vector_of(place));
  return evidence;
}

FilmBelief belief_in(const FilmProfile& form) {
  using enum FilmParameter;
  FilmBelief belief;
  const auto set = [&](FilmParameter parameter, double sigma) {
    belief.covariance[parameter][parameter] = std::pow(std::max(sigma, kLeastSigma), 2);
  };
  set(contrast, form.contrast_relative_sigma);
  set(toe, form.toe_sigma_stops);
  set(shoulder, form.shoulder_sigma_stops);
  set(upper_part, form.upper_gradient_sigma);
  for (const FilmParameter gradient : {red_gradient, blue_gradient}) {
    set(gradient, form.layer_gradient_sigma);
  }
  for (const FilmParameter place : {red_place, blue_place}) set(place, form.layer_place_sigma);
  return belief;
}

FilmBelief given(const FilmBelief& belief, const FilmEvidence& evidence) {
  const ParameterMatrix before = matrix_of(belief.covariance).inverse();
  const ParameterMatrix after = (before + matrix_of(evidence.information)).inverse();
  return {numbers_of(after * (before * vector_of(belief.mean) + vector_of(evidence.toward))),
          rows_of((after + after.transpose()) / 2)};
}

FilmEvidence evidence_between(const FilmBelief& before, const FilmBelief& after) {
  const ParameterMatrix first = matrix_of(before.covariance).inverse();
  const ParameterMatrix second = matrix_of(after.covariance).inverse();
  const ParameterVector toward = second * vector_of(after.mean) - first * vector_of(before.mean);
  return rising_only(second - first, toward);
}

std::string fingerprint(const FilmProfile& form) {
  constexpr double kFrom = -4;  // stops
  constexpr double kTo = 14;
  constexpr double kStep = 0.5;
  std::uint64_t hash = 0xcbf29ce484222325;  // FNV-1a, 64 bits [FNV]
  const auto add = [&](std::uint64_t value) { hash = (hash ^ value) * 0x100000001b3; };
  for (const FilmLayer& layer : form.layers) {
    for (double x = kFrom; x <= kTo; x += kStep) {
      add(static_cast<std::uint64_t>(std::lround(layer.curve.density(Stops(x)).value() * 1000)));
    }
  }
  return fmt::format("{} {:016x}", form.name, hash);
}

std::optional<FilmProfile> generic_form(const std::string& wanted) {
  for (const FilmKind kind : every<FilmKind>()) {
    FilmProfile form = generic_film(kind, FilmSpeed(100));
    if (fingerprint(form) == wanted) return form;
  }
  return std::nullopt;
}

FilmProfile believed(const FilmProfile& form, const FilmBelief& belief) {
  using enum FilmParameter;
  FilmProfile film = form;
  const bool colour = film.layers.size() == kLayers;
  for (std::size_t l = 0; l < film.layers.size(); ++l) {
    film.layers[l].curve = moved(film.layers[l].curve, colour ? l : kGreen, belief.mean);
  }
  film.contrast_relative_sigma = belief.sigma(contrast);
  film.toe_sigma_stops = belief.sigma(toe);
  film.shoulder_sigma_stops = belief.sigma(shoulder);
  film.upper_gradient_sigma = belief.sigma(upper_part);
  film.layer_gradient_sigma = std::max(belief.sigma(red_gradient), belief.sigma(blue_gradient));
  film.layer_place_sigma = std::max(belief.sigma(red_place), belief.sigma(blue_place));
  return film;
}

}  // namespace basefog::film
