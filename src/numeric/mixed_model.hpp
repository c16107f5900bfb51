// SPDX-License-Identifier: GPL-3.0-or-later
#pragma once

#include <Eigen/Dense>
#include <limits>
#include <utility>
#include <vector>

namespace basefog::numeric {

/// A linear model with effects common to all rows (global), effects of the block that a row belongs
/// to (local), zero-mean priors on all of them, and heavy-tailed noise whose scale is partly known:
///
///     y_i = g_i . global + l_i . local[block_i] + noise_i
///     noise_i ~ Student t with noise_freedom degrees of freedom,
///               scale² = known_variance_i + extra[group_i]²
struct MixedModel {
  struct Prior {
    double sigma = 1.0;  ///< scale, > 0
    /// Student t with kEffectFreedom degrees of freedom instead of a normal: most effects of this
    /// kind are near zero and a few are far off.
    bool heavy_tailed = false;
  };
  struct Row {
    double y = 0;
    double known_variance = 0;  ///< >= 0
    int group = 0;              ///< of the noise that is not known
    int block = 0;
    std::vector<std::pair<int, double>> global;  ///< column, value: only what is not zero
    Eigen::VectorXd local;                       ///< one value per local prior
  };

  /// Of heavy-tailed effects: 3 has the heaviest tails that still have a variance (judgement).
  static constexpr double kEffectFreedom = 3;
  static constexpr double kNormalNoise = std::numeric_limits<double>::infinity();

  std::vector<Prior> global;
  std::vector<Prior> local;  ///< the same for each block
  /// Most probable scale of the unknown noise of each group before any row is seen; 0: there is
  /// none. The prior (Rayleigh) keeps the noise of few rows from being taken for none [Chung2013].
  std::vector<double> extra;
  std::vector<Row> rows;
  int blocks = 1;
  /// 4 keeps a wild row from moving a fit, and costs little where all rows are normal [Lange1989].
  double noise_freedom = 4;
};

struct MixedFit {
  Eigen::VectorXd global;                    ///< posterior means
  Eigen::MatrixXd covariance;                ///< of the global effects
  std::vector<Eigen::VectorXd> local;        ///< posterior means, by block
  std::vector<Eigen::VectorXd> local_sigma;  ///< posterior standard deviations, by block
  std::vector<double> extra;                 ///< estimated scale of the unknown noise, by group
  std::vector<double> weight;  ///< of each row, near 1 or more when usual, towards 0 when wild
  int rounds = 0;              ///< until nothing moved any more
};

/// Variational fit, deterministic. With normal noise of known scale and normal priors it is exact,
/// in one round. The scale of the unknown noise is a point estimate; intervals are slightly short
/// with fewer than about six rows.
///
/// Each block's local effects are eliminated within the block, and a block touches only the global
/// columns that its rows use: time and memory are linear in the rows, and cubic only in the number
/// of columns.
MixedFit fit(const MixedModel& model);

}  // namespace basefog::numeric
