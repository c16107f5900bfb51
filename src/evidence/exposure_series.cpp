// SPDX-License-Identifier: GPL-3.0-or-later
#include "basefog/evidence/exposure_series.hpp"

#include <algorithm>
#include <array>
#include <cmath>
#include <numeric>
#include <string_view>

#include "basefog/core/film_facts.hpp"
#include "basefog/film/reciprocity.hpp"
#include "core/plain_text.hpp"
#include "evidence/contrast_fit.hpp"
#include "evidence/same_view.hpp"
#include "numeric/quantile.hpp"
#include "reading/net_densities.hpp"

namespace basefog::evidence {
namespace {

/// Differences beyond this leave too little of the scene on the readable part of both frames: film
/// reads some ten stops, scenes fill five to seven of them (judgement).
constexpr Stops kGreatestDifference{5.0};
/// Contrast is looked for about the film's own, this widely (standard deviation of its logarithm),
/// where the film's contrast is generic. Wider than developments are (a tenth), so that what the
/// frames show is drawn towards the generic contrast by a thirtieth of the difference at most.
constexpr double kGenericContrastSigma = 0.25;
/// And the shoulder, likewise: a wedge that bends a little sooner than the generic film does is
/// else taken for a softer one. With 1.25 stops 12 single brackets of the test's film came out 2 %
/// too soft and scattered by 3.5 %, with 2 stops 0.7 and 1.7 % (ExposureSeries tests).
constexpr double kGenericShoulderSigma = 2;

/// Fewer classes of density than parameters of the curve say nothing of it.
constexpr std::size_t kLeastClasses = 3;

bool mentions_series(const std::string& text) {
  const std::string lower = lower_case(text);
  return std::ranges::any_of(
      std::array<std::string_view, 3>{"bracket", "series", "reihe"},
      [&](std::string_view word) { return lower.find(word) != std::string::npos; });
}

/// Pairs of frames of one view, with the frames' numbers as given.
std::vector<FramePair> find_pairs(std::span<const SeriesFrame> frames,
                                  const film::FilmProfile& film, const SeriesOptions& options) {
  std::vector<FramePair> pairs;
  std::vector<ViewSketch> sketches;
  for (const SeriesFrame& frame : frames) {
    sketches.push_back(sketch_view(frame.measurement->negative));
  }
  for (std::size_t i = 0; i < frames.size(); ++i) {
    for (std::size_t j = i + 1; j < frames.size() && j <= i + options.farthest; ++j) {
      const std::optional<Stops> step = logged_difference(frames[i].logged, frames[j].logged);
      if (!step || abs(*step) < options.least_difference || abs(*step) > kGreatestDifference) {
        continue;
      }
      const auto shift = find_same_view(sketches[i], sketches[j]);
      if (!shift) continue;
      std::vector<DensityPair> densities =
          paired_densities(*frames[i].measurement, *frames[i].base, *frames[j].measurement,
                           *frames[j].base, *shift, film);
      if (densities.size() >= kLeastClasses) pairs.push_back({i, j, std::move(densities)});
    }
  }
  return pairs;
}

/// The frames that pairs join, as series in order of exposure.
std::vector<ExposureSeries> join(const std::vector<FramePair>& pairs,
                                 std::span<const SeriesFrame> frames) {
  std::vector<std::size_t> root(frames.size());
  std::iota(root.begin(), root.end(), std::size_t{0});
  const auto find = [&](std::size_t i) {
    while (root[i] != i) i = root[i];
    return i;
  };
  for (const FramePair& pair : pairs) root[find(pair.second)] = find(pair.first);
  std::vector<ExposureSeries> all;
  for (std::size_t r = 0; r < frames.size(); ++r) {
    ExposureSeries series;
    for (std::size_t i = 0; i < frames.size(); ++i) {
      if (find(i) == r) series.frames.push_back(i);
    }
    if (series.frames.size() < 2) continue;
    const LoggedExposure& zero = frames[series.frames.front()].logged;
    const auto exposure = [&](std::size_t i) {
      return logged_difference(zero, frames[i].logged).value_or(Stops(0));
    };
    std::ranges::stable_sort(series.frames, {}, exposure);
    const Stops least = exposure(series.frames.front());
    for (const std::size_t i : series.frames) series.logged.push_back(exposure(i) - least);
    all.push_back(std::move(series));
  }
  return all;
}

/// The fit's view of some series: frames renumbered, pairs within them.
ContrastProblem problem_of(const std::vector<const ExposureSeries*>& series,
                           const std::vector<FramePair>& pairs, std::span<const SeriesFrame> frames,
                           const film::FilmProfile& film, const SeriesOptions& options) {
  ContrastProblem problem;
  problem.exposure_sigma = options.exposure_sigma_stops;
  const bool generic = film.contrast_source == film::ContrastSource::generic;
  problem.contrast_sigma = generic ? kGenericContrastSigma : film.contrast_relative_sigma;
  problem.shoulder_sigma = generic ? kGenericShoulderSigma : film.shoulder_sigma_stops;
  problem.usual_contrast_sigma =
      generic ? film_facts::kDevelopmentSigma : film.contrast_relative_sigma;
  std::vector<std::optional<std::size_t>> number(frames.size());
  for (const ExposureSeries* one : series) {
    for (std::size_t k = 0; k < one->frames.size(); ++k) {
      const SeriesFrame& frame = frames[one->frames[k]];
      number[one->frames[k]] = problem.logged.size();
      problem.logged.push_back(one->logged[k].value());
      constexpr double kUsualBaseSigma = 0.002;  // the least that film_base claims
      double sigma = kUsualBaseSigma;
      if (!frame.base->sigma.empty()) sigma = frame.base->sigma.front().value();
      problem.base_sigma.push_back(sigma);
    }
  }
  for (const FramePair& pair : pairs) {
    if (number[pair.first] && number[pair.second]) {
      problem.pairs.push_back({*number[pair.first], *number[pair.second], pair.densities});
    }
  }
  return problem;
}

ExposureSeries without(const ExposureSeries& series, std::size_t k) {
  ExposureSeries fewer = series;
  fewer.left_out.push_back(series.frames[k]);
  fewer.frames.erase(fewer.frames.begin() + static_cast<std::ptrdiff_t>(k));
  fewer.logged.erase(fewer.logged.begin() + static_cast<std::ptrdiff_t>(k));
  return fewer;
}

/// Input of all steps below.
struct Roll {
  std::span<const SeriesFrame> frames;
  const std::vector<FramePair>& pairs;
  const film::FilmProfile& film;
  const SeriesOptions& options;

  ContrastFit fit(const std::vector<const ExposureSeries*>& series) const {
    return fit_contrast(problem_of(series, pairs, frames, film, options), film);
  }
  bool has_pair(const ExposureSeries& series) const {
    return std::ranges::any_of(pairs, [&](const FramePair& pair) {
      return std::ranges::find(series.frames, pair.first) != series.frames.end() &&
             std::ranges::find(series.frames, pair.second) != series.frames.end();
    });
  }
};

/// A log is thought wrong where a right one would surprise as much once in a thousand times; where
/// one of its rows is wrong already, what remains has to be likelier than once in twenty.
bool surprising(const ContrastFit& fit, bool log_trusted = true) {
  constexpr double kOneInAThousand = 3.0902;  // standard normal quantiles
  constexpr double kOneInTwenty = 1.6449;
  const double freedom = static_cast<double>(fit.exposure_error.size()) + 1;
  return fit.surprise >
         numeric::chi_square_quantile(freedom, log_trusted ? kOneInAThousand : kOneInTwenty);
}

/// Leaves out frames whose exposure is not what the log says, as long as two remain.
void settle(ExposureSeries& series, const Roll& roll) {
  series.used = true;
  ContrastFit fit = roll.fit({&series});
  while (surprising(fit, series.left_out.empty())) {
    std::optional<ExposureSeries> best;
    std::optional<ContrastFit> best_fit;
    for (std::size_t k = 0; series.frames.size() > 2 && k < series.frames.size(); ++k) {
      const ExposureSeries fewer = without(series, k);
      if (!roll.has_pair(fewer)) continue;
      const ContrastFit tried = roll.fit({&fewer});
      if (!best_fit || tried.surprise < best_fit->surprise) {
        best = fewer;
        best_fit = tried;
      }
    }
    if (!best) {
      series.used = false;
      return;
    }
    series = *best;
    fit = *best_fit;
  }
}

/// One contrast for the roll; series that speak against all the others are left out.
ContrastFit fit_together(std::vector<ExposureSeries>& all, const Roll& roll) {
  while (true) {
    std::vector<const ExposureSeries*> used;
    for (const ExposureSeries& series : all) {
      if (series.used) used.push_back(&series);
    }
    ContrastFit fit = roll.fit(used);
    if (!surprising(fit) || used.size() < 2) return fit;
    // The one whose frames' exposures are farthest off.
    std::size_t frame = 0;
    double worst = -1;
    ExposureSeries* farthest = nullptr;
    for (ExposureSeries& series : all) {
      if (!series.used) continue;
      double sum = 0;
      for (std::size_t k = 0; k < series.frames.size(); ++k) {
        sum += std::pow(fit.exposure_error[frame++], 2) / static_cast<double>(series.frames.size());
      }
      if (sum > worst) {
        worst = sum;
        farthest = &series;
      }
    }
    farthest->used = false;
  }
}

/// A film before series speak of it: a generic one may have been developed in any way.
film::FilmBelief before_series(const film::FilmProfile& film) {
  constexpr auto kContrast = film::FilmParameter::contrast;
  film::FilmBelief belief = film::belief_in(film);
  if (film.contrast_source == film::ContrastSource::generic) {
    belief.covariance[kContrast][kContrast] = std::pow(film_facts::kDevelopmentSigma, 2);
  }
  return belief;
}

/// Whether series say more of the contrast than was known before.
bool is_surer(const film::FilmEvidence& evidence, const film::FilmProfile& film) {
  constexpr auto kContrast = film::FilmParameter::contrast;
  return evidence.information[kContrast][kContrast] *
             before_series(film).covariance[kContrast][kContrast] >
         1;
}

/// Frames whose row speaks of a series that the pictures do not show. A lone one says nothing: the
/// others of its series may not have been scanned.
std::vector<std::size_t> unseen_hints(const std::vector<ExposureSeries>& series,
                                      std::span<const SeriesFrame> frames) {
  std::vector<std::size_t> unseen;
  for (std::size_t i = 0; i < frames.size(); ++i) {
    const bool seen = std::ranges::any_of(series, [&](const ExposureSeries& one) {
      return std::ranges::find(one.frames, i) != one.frames.end();
    });
    if (frames[i].logged.hint && !seen) unseen.push_back(i);
  }
  return unseen.size() < 2 ? std::vector<std::size_t>{} : unseen;
}

}  // namespace

LoggedExposure logged_exposure(const log::LogRow& row, const film::Reciprocity& film) {
  LoggedExposure logged;
  if (row.no_picture || row.flash) return logged;
  logged.compensation = row.compensation;
  logged.hint = mentions_series(row.scene) || mentions_series(row.note);
  if (row.used.shutter && row.used.aperture) {
    const Stops filter = row.filter.value_or(Stops(0));
    logged.settings =
        Stops(-exact(*row.used.shutter).time_value() - exact(*row.used.aperture).aperture_value()) -
        filter - film::reciprocity_loss(film, exact(*row.used.shutter)).loss;
  }
  return logged;
}

std::optional<Stops> logged_difference(const LoggedExposure& a, const LoggedExposure& b) {
  if (a.settings && b.settings) return *b.settings - *a.settings;
  if (a.compensation && b.compensation) return *b.compensation - *a.compensation;
  return std::nullopt;
}

std::optional<SeriesContrast> contrast_from_series(std::span<const SeriesFrame> frames,
                                                   const film::FilmProfile& film,
                                                   const SeriesOptions& options) {
  const std::vector<FramePair> pairs = find_pairs(frames, film, options);
  SeriesContrast result{.factor = {1.0, {}, {}},
                        .series = join(pairs, frames),
                        .film = film,
                        .names = {},
                        .not_seen = {}};
  result.not_seen = unseen_hints(result.series, frames);
  if (result.series.empty() && result.not_seen.empty()) return std::nullopt;
  for (const SeriesFrame& frame : frames) result.names.push_back(frame.name);
  const Roll roll{frames, pairs, film, options};
  for (ExposureSeries& series : result.series) settle(series, roll);
  if (std::ranges::any_of(result.series, &ExposureSeries::used)) {
    const ContrastFit fit = fit_together(result.series, roll);
    result.evidence = fit.evidence;
    const film::FilmBelief belief = film::given(before_series(film), fit.evidence);
    result.place = belief.mean;
    result.film = film::believed(film, belief);
    if (is_surer(fit.evidence, film)) {
      result.film.contrast_source = film::ContrastSource::series;
      result.film.measured_through = reading::read_through(*frames.front().measurement);
    }
    result.factor = {std::exp(fit.log_factor),
                     std::exp(fit.log_factor - kNormal975 * fit.log_factor_sigma),
                     std::exp(fit.log_factor + kNormal975 * fit.log_factor_sigma)};
  }
  return result;
}

}  // namespace basefog::evidence
