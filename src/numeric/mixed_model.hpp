// SPDX-License-Identifier: GPL-3.0-or-later
#pragma once

#include <Eigen/Dense>
#include <utility>
#include <vector>

namespace basefog {

/// A linear model with effects common to all rows (global), effects of the block that a row belongs
/// to (local), zero-mean priors on all of them, and heavy-tailed noise whose scale is partly known:
///
///     y_i = g_i . global + l_i . local[block_i] + noise_i
///     noise_i ~ Student t with kNoiseFreedom degrees of freedom,
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

  /// Degrees of freedom of the noise; 4 keeps a wild row from moving a fit, and costs little where
  /// all rows are normal [Lange1989].
  static constexpr double kNoiseFreedom = 4;
  static constexpr double kEffectFreedom = 3;

  std::vector<Prior> global;
  std::vector<Prior> local;   ///< normal; the same for each block
  std::vector<double> extra;  ///< prior scale (half-normal) of the unknown noise of each group
  std::vector<Row> rows;
  int blocks = 1;
};

struct MixedFit {
  Eigen::VectorXd global;                    ///< posterior means
  Eigen::MatrixXd covariance;                ///< of the global effects
  std::vector<Eigen::VectorXd> local;        ///< posterior means, by block
  std::vector<Eigen::VectorXd> local_sigma;  ///< posterior standard deviations, by block
  std::vector<double> extra;                 ///< estimated scale of the unknown noise, by group
  std::vector<double> weight;  ///< of each row, near 1 or more when usual, towards 0 when wild
};

/// Variational fit, deterministic, in time linear in the rows. The scale of the unknown noise is a
/// point estimate; intervals are slightly short with fewer than about six rows.
MixedFit fit(const MixedModel& model);

}  // namespace basefog
