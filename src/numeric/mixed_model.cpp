// SPDX-License-Identifier: GPL-3.0-or-later
#include "numeric/mixed_model.hpp"

#include <cmath>
#include <cstddef>

namespace basefog {
namespace {

using Eigen::MatrixXd;
using Eigen::VectorXd;

/// The posterior's normal equations for one block, its local effects eliminated.
struct Block {
  MatrixXd local_covariance;  ///< given the global effects
  MatrixXd coupling;          ///< local by global
  VectorXd right_side;
};

class VariationalFit {
 public:
  explicit VariationalFit(const MixedModel& model)
      : model_(model),
        globals_(static_cast<Eigen::Index>(model.global.size())),
        locals_(static_cast<Eigen::Index>(model.local.size())),
        blocks_(static_cast<std::size_t>(model.blocks)),
        row_weight_(model.rows.size(), 1.0),
        effect_weight_(model.global.size(), 1.0),
        squared_residual_(model.rows.size(), 0.0) {
    result_.extra = model.extra;
    result_.global = VectorXd::Zero(globals_);
    result_.local.resize(blocks_.size());
  }

  MixedFit run() {
    constexpr int kMostRounds = 200;
    constexpr double kSettled = 1e-7;
    for (int round = 0; round < kMostRounds; ++round) {
      const VectorXd before = result_.global;
      solve();
      update_residuals();
      update_weights();
      update_extra_noise();
      if (round > 2 && (result_.global - before).cwiseAbs().maxCoeff() < kSettled) break;
    }
    solve();
    finish_local();
    result_.weight = row_weight_;
    return std::move(result_);
  }

 private:
  double scale_squared(std::size_t i) const {
    const MixedModel::Row& row = model_.rows[i];
    return row.known_variance + std::pow(result_.extra[static_cast<std::size_t>(row.group)], 2);
  }

  /// Global and local means and the global covariance for the present weights.
  void solve() {
    for (Block& block : blocks_) {
      block.local_covariance = MatrixXd::Zero(locals_, locals_);
      block.coupling = MatrixXd::Zero(locals_, globals_);
      block.right_side = VectorXd::Zero(locals_);
      for (Eigen::Index j = 0; j < locals_; ++j) {
        block.local_covariance(j, j) =
            std::pow(model_.local[static_cast<std::size_t>(j)].sigma, -2);
      }
    }
    MatrixXd precision = MatrixXd::Zero(globals_, globals_);
    VectorXd right_side = VectorXd::Zero(globals_);
    for (Eigen::Index j = 0; j < globals_; ++j) {
      const auto at = static_cast<std::size_t>(j);
      precision(j, j) = effect_weight_[at] / std::pow(model_.global[at].sigma, 2);
    }
    for (std::size_t i = 0; i < model_.rows.size(); ++i) {
      const MixedModel::Row& row = model_.rows[i];
      Block& block = blocks_[static_cast<std::size_t>(row.block)];
      const double p = row_weight_[i] / scale_squared(i);
      for (const auto& [j, value] : row.global) {
        for (const auto& [k, other] : row.global) precision(j, k) += p * value * other;
        right_side(j) += p * value * row.y;
        block.coupling.col(j) += (p * value) * row.local;
      }
      block.local_covariance.noalias() += p * row.local * row.local.transpose();
      block.right_side += (p * row.y) * row.local;
    }
    for (Block& block : blocks_) {
      block.local_covariance =
          block.local_covariance.llt().solve(MatrixXd::Identity(locals_, locals_)).eval();
      const MatrixXd reduced = block.local_covariance * block.coupling;
      precision.noalias() -= block.coupling.transpose() * reduced;
      right_side.noalias() -= reduced.transpose() * block.right_side;
    }
    result_.covariance = precision.llt().solve(MatrixXd::Identity(globals_, globals_));
    result_.global = result_.covariance * right_side;
    for (std::size_t b = 0; b < blocks_.size(); ++b) {
      result_.local[b] = blocks_[b].local_covariance *
                         (blocks_[b].right_side - blocks_[b].coupling * result_.global);
    }
  }

  /// Expected squared residual of each row: of the mean, plus what is uncertain of the mean.
  void update_residuals() {
    VectorXd leverage(globals_);
    for (std::size_t i = 0; i < model_.rows.size(); ++i) {
      const MixedModel::Row& row = model_.rows[i];
      const auto b = static_cast<std::size_t>(row.block);
      const VectorXd local = blocks_[b].local_covariance * row.local;
      leverage.noalias() = -blocks_[b].coupling.transpose() * local;
      double residual = row.y - row.local.dot(result_.local[b]);
      for (const auto& [j, value] : row.global) {
        residual -= value * result_.global(j);
        leverage(j) += value;
      }
      squared_residual_[i] =
          residual * residual + row.local.dot(local) + leverage.dot(result_.covariance * leverage);
    }
  }

  void update_weights() {
    constexpr double kNoise = MixedModel::kNoiseFreedom;
    constexpr double kEffect = MixedModel::kEffectFreedom;
    for (std::size_t i = 0; i < row_weight_.size(); ++i) {
      row_weight_[i] = (kNoise + 1) / (kNoise + squared_residual_[i] / scale_squared(i));
    }
    for (std::size_t j = 0; j < effect_weight_.size(); ++j) {
      if (!model_.global[j].heavy_tailed) continue;
      const auto at = static_cast<Eigen::Index>(j);
      const double squared = std::pow(result_.global(at), 2) + result_.covariance(at, at);
      effect_weight_[j] = (kEffect + 1) / (kEffect + squared / std::pow(model_.global[j].sigma, 2));
    }
  }

  /// The most probable unknown noise of each group on a grid, under its half-normal prior.
  void update_extra_noise() {
    constexpr int kSteps = 60;
    for (std::size_t group = 0; group < model_.extra.size(); ++group) {
      const double prior = model_.extra[group];
      double best = -1e300;
      double found = prior;
      for (int step = 0; step <= kSteps; ++step) {
        const double extra = 4 * prior * step / kSteps;
        double log_density = -0.5 * std::pow(extra / prior, 2);
        for (std::size_t i = 0; i < model_.rows.size(); ++i) {
          if (model_.rows[i].group != static_cast<int>(group)) continue;
          // A row without any known noise needs a floor, or a perfect fit would be infinitely sure.
          const double s2 = std::max(model_.rows[i].known_variance + extra * extra, 1e-6);
          log_density -= 0.5 * (std::log(s2) + row_weight_[i] * squared_residual_[i] / s2);
        }
        if (log_density > best) {
          best = log_density;
          found = extra;
        }
      }
      result_.extra[group] = std::max(found, 1e-3);
    }
  }

  void finish_local() {
    result_.local_sigma.resize(blocks_.size());
    for (std::size_t b = 0; b < blocks_.size(); ++b) {
      const MatrixXd reduced = blocks_[b].local_covariance * blocks_[b].coupling;
      result_.local_sigma[b] =
          (blocks_[b].local_covariance + reduced * result_.covariance * reduced.transpose())
              .diagonal()
              .cwiseSqrt();
    }
  }

  const MixedModel& model_;
  Eigen::Index globals_;
  Eigen::Index locals_;
  std::vector<Block> blocks_;
  std::vector<double> row_weight_;
  std::vector<double> effect_weight_;
  std::vector<double> squared_residual_;
  MixedFit result_;
};

}  // namespace

MixedFit fit(const MixedModel& model) { return VariationalFit(model).run(); }

}  // namespace basefog
