// SPDX-License-Identifier: GPL-3.0-or-later
#include "roll/bias_design.hpp"

#include <algorithm>
#include <functional>
#include <map>
#include <utility>

namespace basefog {
namespace {

/// Noise groups: where the camera sets the exposure, and where a person rounds to marks.
enum NoiseGroup { kAuto, kManual };

using LevelOf = std::function<std::string(const DeviationSample&)>;

/// Adds a column for each level of a factor. Levels are ordered by the sample that sorts first.
class DesignBuilder {
 public:
  explicit DesignBuilder(std::span<const DeviationSample> samples) : samples_(samples) {
    design_.model.rows.resize(samples.size());
  }

  int add_column(double prior, bool heavy_tailed) {
    design_.model.global.push_back({.sigma = prior, .heavy_tailed = heavy_tailed});
    return static_cast<int>(design_.model.global.size()) - 1;
  }

  void add_factor(const std::string& factor, const LevelOf& level_of, double prior,
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

  void add_light_level(double prior) {
    constexpr double kLeastSpan = 4;  // EV; over less a slope is all noise
    std::vector<double> levels;
    for (const DeviationSample& sample : samples_) {
      if (sample.light_ev) levels.push_back(*sample.light_ev);
    }
    if (levels.size() < 3) return;
    std::sort(levels.begin(), levels.end());
    if (levels.back() - levels.front() < kLeastSpan) return;
    const double middle = levels[levels.size() / 2];
    const int column = add_column(prior, true);
    design_.effects.push_back({"light_level", "per EV", column, static_cast<int>(levels.size())});
    for (std::size_t i = 0; i < samples_.size(); ++i) {
      if (!samples_[i].light_ev) continue;
      design_.model.rows[i].global.emplace_back(column, *samples_[i].light_ev - middle);
    }
  }

  void add_rolls(const BiasPriors& priors) {
    std::map<std::string, int> block_of;
    for (const DeviationSample& sample : samples_) {
      const auto [place, is_new] =
          block_of.emplace(sample.roll, static_cast<int>(design_.rolls.size()));
      if (is_new) design_.rolls.push_back(sample.roll);
    }
    design_.model.blocks = static_cast<int>(design_.rolls.size());
    // The errors that frames share have unit variance; each frame has its own sensitivity to them.
    constexpr int kReciprocity = kErrorCauses;
    design_.model.local.assign(kErrorCauses + 1, {.sigma = 1.0});
    if (design_.rolls.size() > 1) {
      design_.roll_column = kReciprocity + 1;
      design_.model.local.push_back({.sigma = priors.roll});
    }
    const auto locals = static_cast<Eigen::Index>(design_.model.local.size());
    for (std::size_t i = 0; i < samples_.size(); ++i) {
      MixedModel::Row& row = design_.model.rows[i];
      row.block = block_of[samples_[i].roll];
      row.local = Eigen::VectorXd::Zero(locals);
      for (int c = 0; c < kErrorCauses; ++c) row.local(c) = samples_[i].shared[c];
      row.local(kReciprocity) = samples_[i].reciprocity.value();
      // A film whose speed was measured leaves its roll less to differ by.
      if (design_.roll_column) {
        row.local(*design_.roll_column) =
            std::min(1.0, samples_[i].film_speed_sigma.value_or(priors.roll) / priors.roll);
      }
    }
  }

  void add_noise(const BiasPriors& priors) {
    design_.model.extra = {priors.scatter_auto, priors.scatter_manual};
    for (std::size_t i = 0; i < samples_.size(); ++i) {
      MixedModel::Row& row = design_.model.rows[i];
      row.y = samples_[i].deviation.value();
      row.known_variance = samples_[i].sigma * samples_[i].sigma;
      row.group = samples_[i].mode && *samples_[i].mode != ExposureMode::manual ? kAuto : kManual;
    }
  }

  BiasDesign take(const BiasPriors& priors) {
    design_.camera_column = add_column(priors.camera, false);
    for (MixedModel::Row& row : design_.model.rows) {
      row.global.emplace_back(design_.camera_column, 1.0);
    }
    return std::move(design_);
  }

 private:
  std::span<const DeviationSample> samples_;
  BiasDesign design_;
};

}  // namespace

BiasDesign design_bias_model(std::span<const DeviationSample> samples, const BiasPriors& priors) {
  DesignBuilder builder(samples);
  builder.add_factor(
      "shutter", [](const DeviationSample& s) { return s.shutter ? as_marked(*s.shutter) : ""; },
      priors.shutter, 2);
  builder.add_factor(
      "aperture", [](const DeviationSample& s) { return s.aperture ? as_marked(*s.aperture) : ""; },
      priors.aperture, 2);
  builder.add_factor(
      "lens", [](const DeviationSample& s) { return s.lens; }, priors.lens, 2);
  builder.add_factor(
      "mode", [](const DeviationSample& s) { return s.mode ? std::string(name_of(*s.mode)) : ""; },
      priors.mode, 2);
  builder.add_light_level(priors.light_level_per_ev);
  builder.add_rolls(priors);
  builder.add_noise(priors);
  return builder.take(priors);
}

}  // namespace basefog
