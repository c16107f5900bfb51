// SPDX-License-Identifier: GPL-3.0-or-later
#include "numeric/mixed_model.hpp"

#include <algorithm>
#include <cmath>
#include <cstddef>

namespace basefog::numeric {
namespace {

using Eigen::MatrixXd;
using Eigen::VectorXd;

/// The rows of one block as small dense matrices over the global columns that they use, and its
/// part of the posterior.
struct Block {
  std::vector<int> column;       ///< in MixedModel::global, of each column of `global`
  std::vector<std::size_t> row;  ///< in MixedModel::rows, of each row of the matrices
  MatrixXd global;
  MatrixXd local;
  VectorXd y;
  VectorXd local_weight;  ///< of the prior of each local effect

  MatrixXd local_covariance;  ///< given the global effects
  MatrixXd coupling;          ///< local by global
  VectorXd right_side;
};

/// The rounds described in mixed_model.hpp. Local effects are eliminated block by block: with W the
/// rows' precisions, G and L the block's columns, D_l the local priors,
///
///   C = (L' W L + D_l)^-1          local_covariance, given the global effects
///   K = L' W G                     coupling
///   P += G' W G - K' C K           the block's part of the global precision
///   right side += G' W y - K' C (L' W y)
///   local mean = C (L' W y - K global)
///   Var(row)   = diag(L C L') + diag(A S A'), A = G - L C K, S the global covariance
class VariationalFit {
 public:
  explicit VariationalFit(const MixedModel& model)
      : model_(model),
        globals_(static_cast<Eigen::Index>(model.global.size())),
        locals_(static_cast<Eigen::Index>(model.local.size())),
        row_weight_(model.rows.size(), 1.0),
        effect_weight_(model.global.size(), 1.0),
        squared_residual_(model.rows.size(), 0.0) {
    result_.extra = model.extra;
    result_.global = VectorXd::Zero(globals_);
    result_.local.resize(static_cast<std::size_t>(model.blocks));
    gather_blocks();
    // Start from few large effects: from weight 1 one large effect is spread over many small ones.
    for (std::size_t j = 0; j < effect_weight_.size(); ++j) {
      if (model.global[j].heavy_tailed) effect_weight_[j] = kFirstWeight;
    }
  }

  MixedFit run() {
    constexpr int kMostRounds = 200;   // a bound; it stops when the effects settle
    constexpr double kSettled = 1e-6;  // in the unit of y
    while (result_.rounds < kMostRounds) {
      ++result_.rounds;
      const VectorXd before = result_.global;
      solve();
      update_residuals();
      update_weights();
      update_extra_noise();
      if (result_.rounds > 2 && (result_.global - before).cwiseAbs().maxCoeff() < kSettled) break;
    }
    solve();
    widen();
    result_.weight = row_weight_;
    return std::move(result_);
  }

 private:
  void gather_blocks() {
    blocks_.resize(static_cast<std::size_t>(model_.blocks));
    for (std::size_t i = 0; i < model_.rows.size(); ++i) {
      Block& block = blocks_[static_cast<std::size_t>(model_.rows[i].block)];
      block.row.push_back(i);
      for (const auto& [column, value] : model_.rows[i].global) block.column.push_back(column);
    }
    for (Block& block : blocks_) {
      std::ranges::sort(block.column);
      block.column.erase(std::unique(block.column.begin(), block.column.end()), block.column.end());
      const auto rows = static_cast<Eigen::Index>(block.row.size());
      block.global = MatrixXd::Zero(rows, static_cast<Eigen::Index>(block.column.size()));
      block.local = MatrixXd::Zero(rows, locals_);
      block.y = VectorXd::Zero(rows);
      block.local_weight = VectorXd::Ones(locals_);
      for (Eigen::Index r = 0; r < rows; ++r) {
        const MixedModel::Row& row = model_.rows[block.row[static_cast<std::size_t>(r)]];
        for (const auto& [column, value] : row.global) {
          block.global(r, std::ranges::lower_bound(block.column, column) - block.column.begin()) +=
              value;
        }
        block.local.row(r) = row.local;
        block.y(r) = row.y;
      }
    }
  }

  static constexpr double kFirstWeight = 0.25;  // of each effect's prior: twice its scale

  double scale_squared(std::size_t i) const {
    const MixedModel::Row& row = model_.rows[i];
    return row.known_variance + std::pow(result_.extra[static_cast<std::size_t>(row.group)], 2);
  }

  /// One block's normal equations with its local effects eliminated; adds what is left to the
  /// global ones.
  void solve_block(Block& block, MatrixXd& precision, VectorXd& right_side) const {
    VectorXd p(block.y.size());
    for (Eigen::Index r = 0; r < p.size(); ++r) {
      const std::size_t i = block.row[static_cast<std::size_t>(r)];
      p(r) = information_ * row_weight_[i] / scale_squared(i);
    }
    const MatrixXd weighted_global = p.asDiagonal() * block.global;
    const MatrixXd weighted_local = p.asDiagonal() * block.local;
    MatrixXd local_precision = block.local.transpose() * weighted_local;
    for (Eigen::Index j = 0; j < locals_; ++j) {
      local_precision(j, j) +=
          block.local_weight(j) / std::pow(model_.local[static_cast<std::size_t>(j)].sigma, 2);
    }
    block.local_covariance = local_precision.llt().solve(MatrixXd::Identity(locals_, locals_));
    block.coupling = block.local.transpose() * weighted_global;
    block.right_side = weighted_local.transpose() * block.y;
    const MatrixXd reduced = block.local_covariance * block.coupling;
    const MatrixXd part =
        block.global.transpose() * weighted_global - block.coupling.transpose() * reduced;
    const VectorXd right =
        weighted_global.transpose() * block.y - reduced.transpose() * block.right_side;
    for (Eigen::Index j = 0; j < part.cols(); ++j) {
      const int column = block.column[static_cast<std::size_t>(j)];
      right_side(column) += right(j);
      for (Eigen::Index k = 0; k < part.rows(); ++k) {
        precision(block.column[static_cast<std::size_t>(k)], column) += part(k, j);
      }
    }
  }

  /// Global and local means and the global covariance for the present weights.
  void solve() {
    MatrixXd precision = MatrixXd::Zero(globals_, globals_);
    VectorXd right_side = VectorXd::Zero(globals_);
    for (Eigen::Index j = 0; j < globals_; ++j) {
      const auto at = static_cast<std::size_t>(j);
      precision(j, j) = effect_weight_[at] / std::pow(model_.global[at].sigma, 2);
    }
    for (Block& block : blocks_) solve_block(block, precision, right_side);
    result_.covariance = precision.llt().solve(MatrixXd::Identity(globals_, globals_));
    result_.global = result_.covariance * right_side;
    for (std::size_t b = 0; b < blocks_.size(); ++b) {
      const Block& block = blocks_[b];
      result_.local[b] =
          block.local_covariance *
          (block.right_side - block.coupling * VectorXd(result_.global(block.column)));
    }
  }

  /// Expected squared residual of each row: that of the mean plus the variance of the mean.
  void update_residuals() {
    for (std::size_t b = 0; b < blocks_.size(); ++b) {
      const Block& block = blocks_[b];
      const MatrixXd covariance = result_.covariance(block.column, block.column);
      const MatrixXd reduced = block.local_covariance * block.coupling;
      // How a row's mean moves with the global effects, its local ones following them.
      const MatrixXd leverage = block.global - block.local * reduced;
      const VectorXd residual = block.y - block.local * result_.local[b] -
                                block.global * VectorXd(result_.global(block.column));
      const VectorXd uncertain =
          (block.local * block.local_covariance).cwiseProduct(block.local).rowwise().sum() +
          (leverage * covariance).cwiseProduct(leverage).rowwise().sum();
      for (std::size_t r = 0; r < block.row.size(); ++r) {
        const auto at = static_cast<Eigen::Index>(r);
        squared_residual_[block.row[r]] = residual(at) * residual(at) + uncertain(at);
      }
    }
  }

  static double heavy_tailed_weight(double mean, double variance, double sigma) {
    constexpr double kEffect = MixedModel::kEffectFreedom;
    return (kEffect + 1) / (kEffect + (mean * mean + variance) / (sigma * sigma));
  }

  void update_weights() {
    const double noise = model_.noise_freedom;
    if (std::isfinite(noise)) {
      for (std::size_t i = 0; i < row_weight_.size(); ++i) {
        row_weight_[i] = (noise + 1) / (noise + squared_residual_[i] / scale_squared(i));
      }
    }
    for (std::size_t j = 0; j < effect_weight_.size(); ++j) {
      if (!model_.global[j].heavy_tailed) continue;
      const auto at = static_cast<Eigen::Index>(j);
      effect_weight_[j] = heavy_tailed_weight(result_.global(at), result_.covariance(at, at),
                                              model_.global[j].sigma);
    }
    for (std::size_t j = 0; j < model_.local.size(); ++j) {
      if (!model_.local[j].heavy_tailed) continue;
      const auto at = static_cast<Eigen::Index>(j);
      for (std::size_t b = 0; b < blocks_.size(); ++b) {
        blocks_[b].local_weight(at) = heavy_tailed_weight(
            result_.local[b](at), std::pow(local_sigma(blocks_[b])(at), 2), model_.local[j].sigma);
      }
    }
  }

  /// Log of the posterior density of a group's unknown noise, up to a constant.
  double log_density(std::size_t group, double extra) const {
    const double prior = model_.extra[group];
    double sum = std::log(extra) - 0.5 * std::pow(extra / prior, 2);
    for (std::size_t i = 0; i < model_.rows.size(); ++i) {
      if (model_.rows[i].group != static_cast<int>(group)) continue;
      // A row without any known noise needs a floor, or a perfect fit would be infinitely sure.
      const double s2 = std::max(model_.rows[i].known_variance + extra * extra, 1e-6);
      sum -= 0.5 * (std::log(s2) + row_weight_[i] * squared_residual_[i] / s2);
    }
    return sum;
  }

  /// The most probable unknown noise of each group: a grid from 0.01 to 4 times its prior, made
  /// finer twice about its best.
  void update_extra_noise() {
    constexpr int kSteps = 8;  // each grid is a quarter of the one before: a 1/32 of the prior
    constexpr int kGrids = 3;
    for (std::size_t group = 0; group < model_.extra.size(); ++group) {
      const double prior = model_.extra[group];
      if (prior <= 0) continue;
      double low = 0.01 * prior;
      double step = 4 * prior / kSteps;
      double found = prior;
      for (int grid = 0; grid < kGrids; ++grid) {
        double best = -std::numeric_limits<double>::infinity();
        for (int k = 0; k <= kSteps; ++k) {
          const double density = log_density(group, low + k * step);
          if (density <= best) continue;
          best = density;
          found = low + k * step;
        }
        low = std::max(found - step, 0.01 * prior);
        step = 2 * step / kSteps;
      }
      result_.extra[group] = std::max(found, 1e-3);
    }
  }

  /// Posterior standard deviations of a block's local effects.
  VectorXd local_sigma(const Block& block) const {
    const MatrixXd reduced = block.local_covariance * block.coupling;
    const MatrixXd covariance = result_.covariance(block.column, block.column);
    return (block.local_covariance + reduced * covariance * reduced.transpose())
        .diagonal()
        .cwiseSqrt();
  }

  /// Widens the spreads for weights that are themselves unknown: a row with Student noise carries
  /// (f + 1) / (f + 3) of the information of one whose weight is known [Lange1989]. Means stay.
  void widen() {
    if (std::isfinite(model_.noise_freedom)) {
      information_ = (model_.noise_freedom + 1) / (model_.noise_freedom + 3);
      const VectorXd global = result_.global;
      const std::vector<VectorXd> local = result_.local;
      solve();
      result_.global = global;
      result_.local = local;
    }
    for (const Block& block : blocks_) result_.local_sigma.push_back(local_sigma(block));
  }

  const MixedModel& model_;
  Eigen::Index globals_;
  Eigen::Index locals_;
  std::vector<Block> blocks_;
  std::vector<double> row_weight_;
  std::vector<double> effect_weight_;
  std::vector<double> squared_residual_;
  double information_ = 1;
  MixedFit result_;
};

}  // namespace

MixedFit fit(const MixedModel& model) { return VariationalFit(model).run(); }

}  // namespace basefog::numeric
