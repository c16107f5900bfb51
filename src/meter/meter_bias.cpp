// SPDX-License-Identifier: GPL-3.0-or-later
#include "basefog/meter/meter_bias.hpp"

#include <algorithm>
#include <array>
#include <cmath>
#include <utility>

#include "core/name_list.hpp"
#include "meter/bias_design.hpp"
#include "numeric/mixed_model.hpp"
#include "numeric/quantile.hpp"

namespace basefog::meter {
namespace {

/// Of two frames that disagree nothing says which one is off.
constexpr int kLeastFrames = 3;
/// Interval half width at which an effect counts as settled: a third of a stop, the finest step
/// that cameras and films are marked in.
constexpr double kSettledHalfWidth = 1.0 / 3;

StopsEstimate estimate_of(const numeric::MixedFit& fit, int column) {
  return normal_estimate(Stops(fit.global(column)),
                         Stops(std::sqrt(fit.covariance(column, column))));
}

/// Frames still needed: the effect's precision grows by one frame's worth with each.
std::optional<int> frames_to_settle(double sigma, double frame_sigma) {
  const double wanted = std::pow(kNormal975 / kSettledHalfWidth, 2);
  const double have = 1 / (sigma * sigma);
  if (have >= wanted) return std::nullopt;
  return static_cast<int>(std::ceil((wanted - have) * frame_sigma * frame_sigma));
}

double typical_frame_sigma(const numeric::MixedModel& model, const numeric::MixedFit& fit) {
  std::vector<double> sigmas;
  for (const numeric::MixedModel::Row& row : model.rows) {
    sigmas.push_back(std::sqrt(row.known_variance +
                               std::pow(fit.extra[static_cast<std::size_t>(row.group)], 2)));
  }
  return numeric::median(std::move(sigmas));
}

/// Root mean square over the frames of what their own noise does not explain.
double scatter_of(const numeric::MixedModel& model, const numeric::MixedFit& fit) {
  double sum = 0;
  for (const numeric::MixedModel::Row& row : model.rows) {
    sum += std::pow(fit.extra[static_cast<std::size_t>(row.group)], 2);
  }
  return std::sqrt(sum / static_cast<double>(model.rows.size()));
}

/// Levels of different factors that (nearly) the same frames have: no fit can separate them,
/// whatever its priors prefer.
void add_confounded(const BiasDesign& design, std::vector<NotIdentifiable>& open) {
  constexpr double kTogether = 0.75;  // share of the frames with either that have both (judgement)
  const auto columns = static_cast<Eigen::Index>(design.model.global.size());
  Eigen::MatrixXi together = Eigen::MatrixXi::Zero(columns, columns);
  for (const numeric::MixedModel::Row& row : design.model.rows) {
    for (const auto& [i, value] : row.global) {
      for (const auto& [j, other] : row.global) ++together(i, j);
    }
  }
  for (std::size_t i = 0; i < design.effects.size(); ++i) {
    const BiasDesign::Effect& a = design.effects[i];
    for (std::size_t j = i + 1; j < design.effects.size(); ++j) {
      const BiasDesign::Effect& b = design.effects[j];
      if (a.factor == b.factor || b.factor == BiasFactor::light_level) continue;
      const int both = together(a.column, b.column);
      const int either = together(a.column, a.column) + together(b.column, b.column) - both;
      if (both >= kLeastFrames && both >= kTogether * either) {
        open.push_back({Confounded::levels, a.level, b.level});
      }
    }
  }
}

/// How far film and development are part of the bias; absent where they are not.
std::optional<Confounded> part_of_film(std::span<const DeviationSample> samples,
                                       const BiasDesign& design) {
  const DeviationSample& first = samples.front();
  const bool one_film = std::ranges::all_of(
      samples, [&](const DeviationSample& sample) { return sample.film == first.film; });
  const bool known = std::ranges::all_of(
      samples, [](const DeviationSample& sample) { return sample.film_speed_sigma.has_value(); });
  if (design.rolls.size() == 1) {
    return known ? Confounded::meter_development : Confounded::meter_speed_development;
  }
  return one_film && !known ? std::optional(Confounded::meter_speed) : std::nullopt;
}

StopsEstimate combined(const numeric::MixedFit& fit, const Eigen::VectorXd& weights) {
  return normal_estimate(Stops(weights.dot(fit.global)),
                         Stops(std::sqrt(weights.dot(fit.covariance * weights))));
}

void add_drift(const BiasDesign& design, const numeric::MixedFit& fit, MeterBias& result) {
  if (!design.drift_column) return;
  BiasDrift drift;
  drift.days = design.last_day - design.first_day;
  Eigen::VectorXd change = Eigen::VectorXd::Zero(fit.global.size());
  change(*design.drift_column) = drift.days / kDaysPerYear;
  for (const BiasDesign::Jump& jump : design.jumps) {
    change(jump.column) = 1;
    const StopsEstimate estimate = estimate_of(fit, jump.column);
    const bool sure = *estimate.low > Stops(0) || *estimate.high < Stops(0);
    if (sure && (!drift.jump || abs(estimate.value) > abs(drift.jump->value))) {
      drift.jump = estimate;
      drift.jump_before_roll = jump.before_roll;
    }
  }
  drift.change = combined(fit, change);
  result.drift = drift;
}

/// Of the bias, then of each effect in order.
std::vector<double> joint_covariance(const BiasDesign& design, const numeric::MixedFit& fit) {
  std::vector<int> columns{design.camera_column};
  for (const BiasDesign::Effect& effect : design.effects) columns.push_back(effect.column);
  std::vector<double> covariance;
  for (const int i : columns) {
    for (const int j : columns) covariance.push_back(fit.covariance(i, j));
  }
  return covariance;
}

void add_roll_effects(const BiasDesign& design, const numeric::MixedFit& fit, MeterBias& result) {
  if (!design.roll_column) return;
  for (std::size_t b = 0; b < design.rolls.size(); ++b) {
    const double value = fit.local[b](*design.roll_column);
    const double sigma = fit.local_sigma[b](*design.roll_column);
    result.effects.push_back({.factor = BiasFactor::roll,
                              .level = design.rolls[b].name,
                              .stops = normal_estimate(Stops(value), Stops(sigma)),
                              .frames = design.rolls[b].frames});
  }
}

}  // namespace

std::string_view name_of(BiasFactor factor) {
  return name_in(std::to_array<std::string_view>(
                     {"shutter", "aperture", "lens", "mode", "light_level", "film", "roll"}),
                 factor);
}

bool is_named(const BiasEffect& effect) {
  // Half of the finest step that can be dialled: the whole interval must lie beyond it.
  constexpr Stops kWorthAllowing{1.0 / 6};
  return effect.stops.two_sided() &&
         (*effect.stops.low > kWorthAllowing || *effect.stops.high < -kWorthAllowing);
}

MeterBias fit_meter_bias(std::span<const DeviationSample> samples, const BiasPriors& priors) {
  MeterBias result;
  result.frames_used = static_cast<int>(samples.size());
  if (result.frames_used < kLeastFrames) {
    result.not_identifiable.push_back({Confounded::too_few_frames, {}, {}});
    return result;
  }
  const BiasDesign design = design_bias_model(samples, priors);
  const numeric::MixedFit fitted = numeric::fit(design.model);

  result.rolls = static_cast<int>(design.rolls.size());
  result.scatter = scatter_of(design.model, fitted);
  result.bias = estimate_of(fitted, design.camera_column);
  const double frame_sigma = typical_frame_sigma(design.model, fitted);
  for (const BiasDesign::Effect& effect : design.effects) {
    result.effects.push_back(
        {.factor = effect.factor,
         .level = effect.level,
         .stops = estimate_of(fitted, effect.column),
         .frames = effect.frames,
         .frames_to_settle = frames_to_settle(
             std::sqrt(fitted.covariance(effect.column, effect.column)), frame_sigma)});
  }
  result.covariance = joint_covariance(design, fitted);
  result.middle_ev = design.middle_ev;
  add_roll_effects(design, fitted, result);
  add_drift(design, fitted, result);

  if (const auto film = part_of_film(samples, design)) {
    result.not_identifiable.push_back({*film, {}, {}});
  }
  add_confounded(design, result.not_identifiable);
  return result;
}

}  // namespace basefog::meter
