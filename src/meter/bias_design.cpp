// SPDX-License-Identifier: GPL-3.0-or-later
#include "meter/bias_design.hpp"

#include <algorithm>
#include <array>
#include <cmath>
#include <functional>
#include <map>
#include <utility>

namespace basefog::meter {
namespace {

/// Noise groups: where the camera sets the exposure, and where a person rounds to marks.
enum NoiseGroup { kAuto, kManual };

/// Errors that rolls have in common: a film's curve is off on every roll of it, a scanner's
/// response on every roll.
constexpr auto kCommonErrors =
    std::to_array({reading::ErrorCause::contrast, reading::ErrorCause::toe_and_shoulder,
                   reading::ErrorCause::response});

/// Latent errors of a block: each cause, then what of each differs from frame to frame, then the
/// failure of reciprocity.
constexpr Eigen::Index kCauses{kCountOf<reading::ErrorCause>};
constexpr Eigen::Index kReciprocity = 2 * kCauses;
constexpr Eigen::Index place_of(reading::ErrorCause cause) {
  return static_cast<Eigen::Index>(cause);
}

using LevelOf = std::function<std::string(const DeviationSample&)>;

/// Adds a column for each level of a factor. Levels are ordered by their names.
class DesignBuilder {
 public:
  explicit DesignBuilder(std::span<const DeviationSample> samples) : samples_(samples) {
    design_.model.rows.resize(samples.size());
  }

  int add_column(double prior, bool heavy_tailed) {
    design_.model.global.push_back({.sigma = prior, .heavy_tailed = heavy_tailed});
    return static_cast<int>(design_.model.global.size()) - 1;
  }

  void add_factor(BiasFactor factor, const LevelOf& level_of, double prior,
                  std::size_t least_levels) {
    std::map<std::string, int> frames;
    for (const DeviationSample& sample : samples_) {
      if (const std::string level = level_of(sample); !level.empty()) ++frames[level];
    }
    if (frames.size() < least_levels) return;
    std::map<std::string, int> columns;
    for (const auto& [level, count] : frames) {
      columns[level] = add_column(prior, true);
      design_.effects.push_back({factor, level, columns[level], count});
    }
    for (std::size_t i = 0; i < samples_.size(); ++i) {
      const auto column = columns.find(level_of(samples_[i]));
      if (column != columns.end()) design_.model.rows[i].global.emplace_back(column->second, 1.0);
    }
  }

  /// Several films have a column each; a single one only for what is uncertain of its known speed.
  void add_films(const BiasPriors& priors) {
    std::map<std::string, std::vector<std::size_t>> films;
    for (std::size_t i = 0; i < samples_.size(); ++i) films[samples_[i].film].push_back(i);
    const bool several = films.size() > 1;
    for (const auto& [film, samples] : films) {
      const std::optional<double> known = samples_[samples.front()].film_speed_sigma;
      // The speed of a single film that nobody measured belongs to the bias and has no column.
      if (!several && !known) return;
      const int column = add_column(known.value_or(priors.film), !known);
      for (const std::size_t i : samples) {
        design_.model.rows[i].global.emplace_back(column, 1.0);
      }
      if (several) {
        design_.effects.push_back(
            {BiasFactor::film, film, column, static_cast<int>(samples.size())});
      }
    }
  }

  void add_light_level(double prior) {
    constexpr double kLeastSpan = 4;  // EV; over less a slope is all noise
    std::vector<double> levels;
    for (const DeviationSample& sample : samples_) {
      if (sample.light_ev) levels.push_back(*sample.light_ev);
    }
    constexpr std::size_t kLeastLevels = 3;  // two lie on any line
    if (levels.size() < kLeastLevels) return;
    std::sort(levels.begin(), levels.end());
    if (levels.back() - levels.front() < kLeastSpan) return;
    const double middle = levels[levels.size() / 2];
    design_.middle_ev = middle;
    const int column = add_column(prior, true);
    design_.effects.push_back(
        {BiasFactor::light_level, "per EV", column, static_cast<int>(levels.size())});
    for (std::size_t i = 0; i < samples_.size(); ++i) {
      if (!samples_[i].light_ev) continue;
      design_.model.rows[i].global.emplace_back(column, *samples_[i].light_ev - middle);
    }
  }

  void add_rolls(const BiasPriors& priors) {
    for (const DeviationSample& sample : samples_) {
      const auto [place, is_new] =
          block_of_.emplace(sample.roll, static_cast<int>(design_.rolls.size()));
      if (is_new) design_.rolls.push_back({sample.roll, sample.day, 0});
      ++design_.rolls[static_cast<std::size_t>(place->second)].frames;
    }
    design_.model.blocks = static_cast<int>(design_.rolls.size());
    const bool several = design_.rolls.size() > 1;
    // e of each cause, then e' of each, then reciprocity (bias_design.hpp).
    design_.model.local.assign(kReciprocity + 1, {.sigma = 1.0});
    if (several) {
      for (const reading::ErrorCause cause : kCommonErrors) {
        design_.model.local[place_of(cause)].sigma = std::sqrt(1 - priors.common_share);
      }
      design_.roll_column = static_cast<int>(design_.model.local.size());
      design_.model.local.push_back({.sigma = priors.roll, .heavy_tailed = true});
    }
    const std::vector<reading::ErrorBudget> means = mean_sensitivities(priors.scatter_auto);
    const auto locals = static_cast<Eigen::Index>(design_.model.local.size());
    for (std::size_t i = 0; i < samples_.size(); ++i) {
      numeric::MixedModel::Row& row = design_.model.rows[i];
      row.block = block_of_[samples_[i].roll];
      row.local = Eigen::VectorXd::Zero(locals);
      for (const reading::ErrorCause cause : every<reading::ErrorCause>()) {
        const double read = samples_[i].shared[cause];
        const double mean = means[static_cast<std::size_t>(row.block)][cause];
        const double apart = read - mean;
        const Eigen::Index c = place_of(cause);
        row.local(c) = mean + std::sqrt(priors.form_share) * apart;
        row.local(kCauses + c) = std::sqrt(1 - priors.form_share) * apart;
      }
      row.local(kReciprocity) = samples_[i].reciprocity.value();
      if (design_.roll_column) row.local(*design_.roll_column) = 1;
    }
    if (several) add_common_errors(std::sqrt(priors.common_share));
  }

  /// Of each roll, the mean over its frames, weighted as the frames count for the bias.
  std::vector<reading::ErrorBudget> mean_sensitivities(double scatter) const {
    std::vector<reading::ErrorBudget> means(design_.rolls.size(), reading::ErrorBudget{});
    std::vector<double> weights(design_.rolls.size(), 0.0);
    for (const DeviationSample& sample : samples_) {
      const auto block = static_cast<std::size_t>(block_of_.at(sample.roll));
      const double weight = 1 / (sample.sigma * sample.sigma + scatter * scatter);
      weights[block] += weight;
      for (const reading::ErrorCause cause : every<reading::ErrorCause>()) {
        means[block][cause] += weight * sample.shared[cause];
      }
    }
    for (std::size_t block = 0; block < means.size(); ++block) {
      for (double& mean : means[block]) mean /= weights[block];
    }
    return means;
  }

  /// The part of a curve's error that all rolls of the film have, and of the response's that all
  /// rolls have.
  void add_common_errors(double sigma) {
    std::map<std::pair<std::string, reading::ErrorCause>, int> columns;
    for (std::size_t i = 0; i < samples_.size(); ++i) {
      for (const reading::ErrorCause cause : kCommonErrors) {
        numeric::MixedModel::Row& row = design_.model.rows[i];
        const double sensitivity = row.local(place_of(cause));
        if (sensitivity == 0) continue;
        const std::string owner = cause == reading::ErrorCause::response ? "" : samples_[i].film;
        const auto [place, is_new] = columns.emplace(std::pair(owner, cause), 0);
        if (is_new) place->second = add_column(sigma, false);
        row.global.emplace_back(place->second, sensitivity);
      }
    }
  }

  /// The bias over time, counted back from the last roll: a slow drift, and jumps between rolls or,
  /// where there are many, between groups of them.
  void add_drift(const BiasPriors& priors) {
    // Two rolls always lie on a line, and over weeks a roll's own error outweighs any drift of half
    // a stop a year; more jumps than this cost time and are each unsure (judgement).
    constexpr double kLeastDays = 60;
    constexpr std::size_t kLeastRolls = 3;
    constexpr std::size_t kMostJumps = 24;
    std::vector<BiasDesign::Roll> dated;
    for (const BiasDesign::Roll& roll : design_.rolls) {
      if (roll.day) dated.push_back(roll);
    }
    std::ranges::stable_sort(dated, {}, [](const BiasDesign::Roll& roll) { return *roll.day; });
    if (dated.size() < kLeastRolls) return;
    design_.first_day = *dated.front().day;
    design_.last_day = *dated.back().day;
    if (design_.last_day - design_.first_day < kLeastDays) return;
    design_.drift_column = add_column(priors.drift_per_year, false);
    const std::size_t jumps = std::min(dated.size() - 1, kMostJumps);
    for (std::size_t k = 1; k <= jumps; ++k) {
      const BiasDesign::Roll& after = dated[k * (dated.size() - 1) / jumps];
      const double since = design_.jumps.empty() ? design_.first_day : design_.jumps.back().day;
      if (*after.day <= since) continue;
      const double months = (*after.day - since) / kDaysPerYear * 12;
      const int column = add_column(priors.jump_per_month * std::sqrt(months), true);
      design_.jumps.push_back({column, *after.day, after.name});
    }
    for (std::size_t i = 0; i < samples_.size(); ++i) {
      // An undated roll is taken to be as recent as the last.
      const double day = samples_[i].day.value_or(design_.last_day);
      auto& row = design_.model.rows[i].global;
      row.emplace_back(*design_.drift_column, (day - design_.last_day) / kDaysPerYear);
      for (const BiasDesign::Jump& jump : design_.jumps) {
        if (day < jump.day) row.emplace_back(jump.column, -1.0);
      }
    }
  }

  void add_noise(const BiasPriors& priors) {
    design_.model.extra = {priors.scatter_auto, priors.scatter_manual};
    for (std::size_t i = 0; i < samples_.size(); ++i) {
      numeric::MixedModel::Row& row = design_.model.rows[i];
      row.y = samples_[i].deviation.value();
      row.known_variance = samples_[i].sigma * samples_[i].sigma;
      const bool by_camera = samples_[i].mode && *samples_[i].mode != log::ExposureMode::manual;
      row.group = by_camera || samples_[i].request_logged ? kAuto : kManual;
    }
  }

  BiasDesign take(const BiasPriors& priors) {
    design_.camera_column = add_column(priors.camera, false);
    for (numeric::MixedModel::Row& row : design_.model.rows) {
      row.global.emplace_back(design_.camera_column, 1.0);
    }
    return std::move(design_);
  }

 private:
  std::span<const DeviationSample> samples_;
  std::map<std::string, int> block_of_;
  BiasDesign design_;
};

}  // namespace

BiasDesign design_bias_model(std::span<const DeviationSample> samples, const BiasPriors& priors) {
  DesignBuilder builder(samples);
  builder.add_factor(
      BiasFactor::shutter,
      [](const DeviationSample& s) { return s.shutter ? as_marked(*s.shutter) : ""; },
      priors.shutter, 2);
  builder.add_factor(
      BiasFactor::aperture,
      [](const DeviationSample& s) { return s.aperture ? as_marked(*s.aperture) : ""; },
      priors.aperture, 2);
  builder.add_factor(
      BiasFactor::lens, [](const DeviationSample& s) { return s.lens; }, priors.lens, 2);
  builder.add_factor(
      BiasFactor::mode,
      [](const DeviationSample& s) { return s.mode ? std::string(name_of(*s.mode)) : ""; },
      priors.mode, 2);
  builder.add_films(priors);
  builder.add_light_level(priors.light_level_per_ev);
  builder.add_rolls(priors);
  builder.add_drift(priors);
  builder.add_noise(priors);
  return builder.take(priors);
}

}  // namespace basefog::meter
