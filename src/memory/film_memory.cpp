// SPDX-License-Identifier: GPL-3.0-or-later
#include "basefog/memory/film_memory.hpp"

#include <Eigen/Dense>
#include <algorithm>
#include <array>
#include <cmath>
#include <optional>
#include <utility>

#include "basefog/core/film_facts.hpp"
#include "film/film_matrix.hpp"
#include "numeric/quantile.hpp"

namespace basefog::memory {
namespace {

using film::FilmParameter;
using film::matrix_of;
using film::ParameterMatrix;
using film::ParameterVector;
using film::vector_of;

constexpr auto kContrast = static_cast<Eigen::Index>(FilmParameter::contrast);

/// Evidence that can be added up.
struct Evidence {
  ParameterMatrix information = ParameterMatrix::Zero();
  ParameterVector toward = ParameterVector::Zero();

  Evidence& operator+=(const Evidence& other) {
    information += other.information;
    toward += other.toward;
    return *this;
  }
  Evidence operator-(const Evidence& other) const {
    return {information - other.information, toward - other.toward};
  }
};

struct Normal {
  ParameterVector mean = ParameterVector::Zero();
  ParameterMatrix covariance = ParameterMatrix::Zero();

  Normal after(const Evidence& evidence) const {
    const ParameterMatrix before = covariance.inverse();
    const ParameterMatrix now = (before + evidence.information).inverse();
    return {now * (before * mean + evidence.toward), (now + now.transpose()) / 2};
  }
  Normal wandering(const ParameterVector& wander) const {
    Normal wider = *this;
    wider.covariance.diagonal() += wander;
    return wider;
  }
  film::FilmBelief belief() const { return {film::numbers_of(mean), film::rows_of(covariance)}; }
};

ParameterVector wander_of(const FilmUse& use) {
  using enum FilmParameter;
  film::FilmNumbers sigma{};
  sigma[contrast] =
      read_development(use.developed).by_lab ? film_facts::kLabWander : film_facts::kHomeWander;
  sigma[toe] = film_facts::kToeWander;
  sigma[shoulder] = film_facts::kShoulderWander;
  sigma[upper_part] = film_facts::kUpperShareOfContrast * sigma[contrast];
  sigma[red_gradient] = sigma[blue_gradient] = film_facts::kMeasuredLayerGradientSigma;
  sigma[red_place] = sigma[blue_place] = film_facts::kMeasuredLayerSigma;
  return vector_of(sigma).array().square();
}

/// A lesson as evidence on a roll of the development that is asked about.
struct Roll {
  const FilmLesson* lesson;
  bool same;  ///< development
  Evidence evidence;
  double extra = 0;  ///< variance of its contrast beside the wander
};

Roll roll_of(const FilmLesson& lesson, const FilmUse& use) {
  const Kinship kin = kinship_of(use, lesson.use);
  Roll roll{&lesson,
            kin.same,
            {matrix_of(lesson.evidence.information), vector_of(lesson.evidence.toward)}};
  roll.evidence.toward += roll.evidence.information.col(kContrast) * kin.log_contrast;
  roll.extra = kin.log_contrast_sigma * kin.log_contrast_sigma;
  return roll;
}

/// How far a roll may lie from the film, as variances.
ParameterVector wander_on(const Roll& roll, ParameterVector wander) {
  wander[kContrast] += roll.extra;
  return wander;
}

/// What a roll says of the film, its own wander integrated over.
Evidence on_film(const Roll& roll, const ParameterVector& wander) {
  const ParameterMatrix& c = roll.evidence.information;
  const ParameterMatrix spread =
      (ParameterMatrix::Identity() + c * wander_on(roll, wander).asDiagonal()).inverse();
  const ParameterMatrix information = spread * c;
  return {(information + information.transpose()) / 2, spread * roll.evidence.toward};
}

/// The form's own sigmas hold of rolls; of the film itself less the wander.
Normal prior_of(const film::FilmProfile& form, const ParameterVector& wander) {
  constexpr double kLeastShare = 0.1;  // of the form's variance
  Normal prior;
  prior.covariance = matrix_of(film::belief_in(form).covariance);
  const ParameterVector variance = prior.covariance.diagonal();
  prior.covariance.diagonal() = (variance - wander).cwiseMax(kLeastShare * variance);
  return prior;
}

/// ln of the integral of a normal distribution times evidence, but for a constant.
double log_marginal(const Normal& normal, const Evidence& evidence) {
  const ParameterMatrix together =
      ParameterMatrix::Identity() + normal.covariance * evidence.information;
  const Normal after = normal.after(evidence);
  const ParameterMatrix before = normal.covariance.inverse();
  const ParameterVector pull = before * normal.mean + evidence.toward;
  return -std::log(together.determinant()) / 2 +
         (pull.dot(after.mean) - normal.mean.dot(before * normal.mean)) / 2;
}

/// ln likelihood of all rolls, one after the other.
double log_likelihood(const std::vector<Roll>& rolls, const film::FilmProfile& form,
                      const ParameterVector& wander) {
  Normal film = prior_of(form, wander);
  double log = 0;
  for (const Roll& roll : rolls) {
    log += log_marginal(film.wandering(wander_on(roll, wander)), roll.evidence);
    film = film.after(on_film(roll, wander));
  }
  return log;
}

/// The wander as the rolls show it: its contrast's variance is the mean over five factors.
ParameterVector learned_wander(const std::vector<Roll>& rolls, const film::FilmProfile& form,
                               ParameterVector wander) {
  constexpr std::array kFactors = {0.5, 0.7, 1.0, 1.4, 2.0};
  constexpr double kLogSigma = 0.5;
  std::array<double, kFactors.size()> logs{};
  for (std::size_t i = 0; i < kFactors.size(); ++i) {
    ParameterVector tried = wander;
    tried[kContrast] *= kFactors.at(i) * kFactors.at(i);
    logs.at(i) =
        log_likelihood(rolls, form, tried) - std::pow(std::log(kFactors.at(i)) / kLogSigma, 2) / 2;
  }
  const double most = std::ranges::max(logs);
  double weights = 0;
  double squares = 0;
  for (std::size_t i = 0; i < kFactors.size(); ++i) {
    const double weight = std::exp(logs.at(i) - most);
    weights += weight;
    squares += weight * kFactors.at(i) * kFactors.at(i);
  }
  wander[kContrast] *= squares / weights;
  return wander;
}

/// Chi square of evidence against what is expected of a roll, over what one in two hundred exceeds.
double surprise(const Normal& expected, const Evidence& evidence) {
  constexpr double kOneInTwoHundred = 2.5758;  // standard normal quantile
  const ParameterVector off = evidence.toward - evidence.information * expected.mean;
  const ParameterMatrix spread =
      evidence.information + evidence.information * expected.covariance * evidence.information;
  const Eigen::SelfAdjointEigenSolver<ParameterMatrix> solver((spread + spread.transpose()) / 2);
  constexpr double kSaysSomething = 1e-6;  // of the greatest; the rest is rounding
  const double least = kSaysSomething * solver.eigenvalues().maxCoeff();
  const ParameterVector along = solver.eigenvectors().transpose() * off;
  double chi_square = 0;
  double freedom = 0;
  for (Eigen::Index i = 0; i < along.size(); ++i) {
    if (!(solver.eigenvalues()[i] > least)) continue;
    chi_square += along[i] * along[i] / solver.eigenvalues()[i];
    ++freedom;
  }
  return freedom > 0 ? chi_square / numeric::chi_square_quantile(freedom, kOneInTwoHundred) : 0;
}

/// The rolls together, under one wander.
struct Together {
  Normal prior;
  ParameterVector wander;
  std::vector<Evidence> each;
  Evidence all;

  Together(const std::vector<Roll>& rolls, const film::FilmProfile& form, ParameterVector by)
      : prior(prior_of(form, by)), wander(std::move(by)) {
    for (const Roll& roll : rolls) all += each.emplace_back(on_film(roll, wander));
  }

  /// How surprising a roll is after all the others.
  double surprise_of(const std::vector<Roll>& rolls, std::size_t i) const {
    return surprise(prior.after(all - each[i]).wandering(wander_on(rolls[i], wander)),
                    rolls[i].evidence);
  }
};

/// The roll that fits the others least, if that is too little. Judged by a wander twice the usual
/// one in its variance, not by the one learned, which odd rolls themselves make large.
std::optional<std::size_t> odd_one(const std::vector<Roll>& rolls, const film::FilmProfile& form,
                                   const FilmUse& use) {
  const Together together(rolls, form, 2 * wander_of(use));
  std::optional<std::size_t> worst;
  double most = 1;
  for (std::size_t i = 0; rolls.size() > 1 && i < rolls.size(); ++i) {
    const double here = together.surprise_of(rolls, i);
    if (here <= most) continue;
    most = here;
    worst = i;
  }
  return worst;
}

}  // namespace

std::shared_ptr<const film::FilmProfile> measured_curve(std::span<const FilmLesson> lessons,
                                                        std::string_view film) {
  const FilmLesson* newest = nullptr;
  for (const FilmLesson& lesson : lessons) {
    const bool measured = lesson.profile && !film::generic_form(lesson.form);
    if (!measured || !is_same_film(lesson.use.film, film)) continue;
    if (newest == nullptr || newest->date <= lesson.date) newest = &lesson;
  }
  return newest == nullptr ? nullptr : newest->profile;
}

FilmMemory recall(std::span<const FilmLesson> lessons, const FilmUse& use,
                  const film::FilmProfile& form) {
  const std::string fingerprint = film::fingerprint(form);
  std::vector<Roll> rolls;
  for (const FilmLesson& lesson : lessons) {
    if (lesson.form == fingerprint && is_same_film(lesson.use.film, use.film)) {
      rolls.push_back(roll_of(lesson, use));
    }
  }
  // Films change over the years, and so many say all that there is to say.
  constexpr std::ptrdiff_t kMostRolls = 40;
  const auto by_date = [](const Roll& roll) { return roll.lesson->date; };
  std::ranges::stable_sort(rolls, {}, by_date);
  if (std::ssize(rolls) > kMostRolls) rolls.erase(rolls.begin(), rolls.end() - kMostRolls);
  FilmMemory memory;
  while (const auto odd = odd_one(rolls, form, use)) {
    memory.odd.push_back(rolls[*odd].lesson->roll);
    rolls.erase(rolls.begin() + static_cast<std::ptrdiff_t>(*odd));
  }
  if (memory.odd.size() >= rolls.size() && !memory.odd.empty()) {
    for (const Roll& roll : rolls) memory.odd.push_back(roll.lesson->roll);
    rolls.clear();
  }
  const Together together(rolls, form, learned_wander(rolls, form, wander_of(use)));
  for (const Roll& roll : rolls) {
    (roll.same ? memory.rolls : memory.others).push_back(roll.lesson->roll);
    memory.as_named = roll.lesson->use.film == use.film ? "" : roll.lesson->use.film;
  }
  const Normal found = together.prior.after(together.all);
  memory.film = found.belief();
  memory.roll = found.wandering(together.wander).belief();
  memory.wander = std::sqrt(together.wander[kContrast]);
  return memory;
}

bool is_unlike(const film::FilmBelief& roll, const film::FilmEvidence& evidence) {
  return surprise({vector_of(roll.mean), matrix_of(roll.covariance)},
                  {matrix_of(evidence.information), vector_of(evidence.toward)}) > 1;
}

film::FilmProfile on_another_roll(const film::FilmProfile& measured, const FilmUse& use) {
  using enum FilmParameter;
  // The roll that was measured and the next one each lie off the film's mean.
  const film::FilmNumbers apart = film::numbers_of((2 * wander_of(use)).cwiseSqrt());
  film::FilmProfile film = measured;
  if (film.speed_measured) {
    film.speed_sigma_stops = std::hypot(film.speed_sigma_stops, film_facts::kRollSigma);
  }
  if (film.contrast_source != film::ContrastSource::film_test) return film;
  const auto widen = [&](double& sigma, FilmParameter by) { sigma = std::hypot(sigma, apart[by]); };
  widen(film.contrast_relative_sigma, contrast);
  widen(film.toe_sigma_stops, toe);
  widen(film.shoulder_sigma_stops, shoulder);
  widen(film.upper_gradient_sigma, upper_part);
  widen(film.layer_gradient_sigma, blue_gradient);
  widen(film.layer_place_sigma, blue_place);
  return film;
}

}  // namespace basefog::memory
