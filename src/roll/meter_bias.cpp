// SPDX-License-Identifier: GPL-3.0-or-later
#include "basefog/meter_bias.hpp"

#include <algorithm>
#include <cmath>
#include <set>
#include <utility>

#include "numeric/mixed_model.hpp"
#include "roll/bias_design.hpp"

namespace basefog {
namespace {

constexpr int kLeastFrames = 3;
/// Interval half width at which an effect counts as settled: a third of a stop, the finest step
/// that cameras and films are marked in.
constexpr double kSettledHalfWidth = 1.0 / 3;

StopsEstimate estimate_of(const MixedFit& fit, int column) {
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

double typical_frame_sigma(const MixedModel& model, const MixedFit& fit) {
  std::vector<double> sigmas;
  for (const MixedModel::Row& row : model.rows) {
    sigmas.push_back(std::sqrt(row.known_variance +
                               std::pow(fit.extra[static_cast<std::size_t>(row.group)], 2)));
  }
  std::nth_element(sigmas.begin(), sigmas.begin() + sigmas.size() / 2, sigmas.end());
  return sigmas[sigmas.size() / 2];
}

/// A bias that the film's own error of speed makes less sure.
StopsEstimate with_film_speed(const StopsEstimate& bias, double film_speed_sigma) {
  const Stops half = *bias.high - bias.value;
  return normal_estimate(bias.value,
                         Stops(std::hypot(half.value() / kNormal975, film_speed_sigma)));
}

std::set<std::size_t> rows_with(const MixedModel& model, int column) {
  std::set<std::size_t> rows;
  for (std::size_t i = 0; i < model.rows.size(); ++i) {
    for (const auto& [j, value] : model.rows[i].global) {
      if (j == column && value != 0) rows.insert(i);
    }
  }
  return rows;
}

/// Levels of different factors that (nearly) the same frames have: no fit can tell them apart,
/// whatever its priors prefer.
void note_confounded(const BiasDesign& design, std::vector<std::string>& sentences) {
  constexpr double kTogether = 0.75;  // share of the frames with either that have both
  for (std::size_t i = 0; i < design.effects.size(); ++i) {
    const BiasDesign::Effect& a = design.effects[i];
    const std::set<std::size_t> rows_a = rows_with(design.model, a.column);
    for (std::size_t j = i + 1; j < design.effects.size(); ++j) {
      const BiasDesign::Effect& b = design.effects[j];
      if (a.factor == b.factor || b.factor == "light_level") continue;
      const std::set<std::size_t> rows_b = rows_with(design.model, b.column);
      std::set<std::size_t> either = rows_a;
      either.insert(rows_b.begin(), rows_b.end());
      const auto both = static_cast<double>(rows_a.size() + rows_b.size() - either.size());
      if (both >= kLeastFrames && both >= kTogether * static_cast<double>(either.size())) {
        sentences.push_back(a.level + " and " + b.level +
                            " were mostly used together, so what belongs to which cannot be told.");
      }
    }
  }
}

void add_roll_effects(const BiasDesign& design, const MixedFit& fit, MeterBias& result) {
  if (!design.roll_column) return;
  for (std::size_t b = 0; b < design.rolls.size(); ++b) {
    const auto first =
        std::find_if(design.model.rows.begin(), design.model.rows.end(),
                     [b](const MixedModel::Row& row) { return row.block == static_cast<int>(b); });
    const double share = first->local(*design.roll_column);
    const double value = share * fit.local[b](*design.roll_column);
    const double sigma = share * fit.local_sigma[b](*design.roll_column);
    const auto frames = static_cast<int>(std::count_if(
        design.model.rows.begin(), design.model.rows.end(),
        [b](const MixedModel::Row& row) { return row.block == static_cast<int>(b); }));
    result.effects.push_back({.factor = "roll",
                              .level = design.rolls[b],
                              .stops = normal_estimate(Stops(value), Stops(sigma)),
                              .frames = frames});
  }
}

}  // namespace

MeterBias fit_meter_bias(std::span<const DeviationSample> samples, const BiasPriors& priors) {
  MeterBias result;
  result.frames_used = static_cast<int>(samples.size());
  if (result.frames_used < kLeastFrames) {
    result.not_identifiable.emplace_back(
        "Fewer than three frames have both a reading and a row in the log, too few to tell the "
        "meter's bias.");
    return result;
  }
  const BiasDesign design = design_bias_model(samples, priors);
  const MixedFit fitted = fit(design.model);

  result.rolls = static_cast<int>(design.rolls.size());
  result.scatter = *std::max_element(fitted.extra.begin(), fitted.extra.end());
  result.bias = estimate_of(fitted, design.camera_column);
  if (result.rolls == 1 && samples.front().film_speed_sigma) {
    // The one roll's speed error stands in its bias alone.
    result.bias = with_film_speed(*result.bias, *samples.front().film_speed_sigma);
  }
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
  add_roll_effects(design, fitted, result);

  const bool speeds_known = std::all_of(
      samples.begin(), samples.end(),
      [](const DeviationSample& sample) { return sample.film_speed_sigma.has_value(); });
  if (result.rolls == 1 && !speeds_known) {
    result.not_identifiable.emplace_back(
        "One roll cannot tell the meter from the film's speed and the development: the bias is "
        "that of all three together.");
  }
  note_confounded(design, result.not_identifiable);
  return result;
}

}  // namespace basefog
