// SPDX-License-Identifier: GPL-3.0-or-later
#pragma once

#include <Eigen/Dense>
#include <limits>
#include <utility>
#include <vector>

namespace basefog::numeric {

// A linear model with effects shared by all rows, effects of groups of rows, and noise with heavy
// tails.
//
// Formula. Row i of block k; y, effects and scales are in one unit (stops, for the meter's bias):
//
//   y_i     = sum over j of g_ij global_j + sum over j of l_ij local_kj + noise_i
//   noise_i  ~ Student t, f = noise_freedom degrees, scale s_i, s_i^2 = known_variance_i + extra^2
//   effect_j ~ normal of sigma_j, or Student t of 3 degrees and scale sigma_j (heavy_tailed)
//   extra    ~ Rayleigh with its mode at the number given, one for each noise group
//
// A Student t is a normal whose precision is multiplied by an unknown weight [Lange1989]. A round
// takes these in turn, until no global effect moves by more than 1e-6:
//
//   effects   normal, of precision D + sum over rows of w_i x_i x_i' / s_i^2, x_i = (g_i, l_i),
//             D diagonal, D_jj = v_j / sigma_j^2
//   row i     w_i = (f + 1) / (f + E[r_i^2] / s_i^2), r_i its residual; 1 for normal noise
//   effect j  v_j = (3 + 1) / (3 + E[effect_j^2] / sigma_j^2); 1 for a normal prior
//   extra     the value of greatest density, prior times normal densities of the group's rows, with
//             w_i and E[r_i^2] as they stand
//
// E[.] is over the effects' posterior: squared mean plus variance. At the end the rows' precision
// is multiplied by (f + 1) / (f + 3), what a Student t says against a normal of known weight
// [Lange1989]; that widens the intervals and leaves the means.
//
// Assumes. Rows are independent but for the effects; priors have mean zero; weights and effects are
// independent of each other in the posterior (mean field).
//
// Costs. A round over n rows in blocks, each block with c global columns in use and q local
// effects: some n (c + q)^2 + blocks q^3 + (global effects)^3 multiplications, memory n (c + q). So
// time grows in proportion to the rows. At most 200 rounds.
//
// Accurate. To 1e-6 against lme4 (MixedModel.crossed_effects_match_lme4,
// MixedModel.effects_of_blocks_match_lme4) and 1e-8 on certified lines
// (MixedModel.norris_matches_NISTStRD). With wild rows within 0.15 standard errors of another
// robust fit (MixedModel.wild_rows_count_as_little_as_for_rlm). An extra of 0.4 is found to 0.03
// from 2000 rows (MixedModel.finds_the_scale_of_noise_that_is_not_known). Intervals are tested
// where they are used (MeterBias.of_one_roll_is_within_its_interval_as_often_as_it_says).
//
// Fails. It never refuses: an effect that the rows cannot separate from another keeps a spread near
// its prior's, and its mean leans on the prior; whoever shows it must say so, as fit_meter_bias
// does. With heavy tails there may be several answers: it finds the one reached from few large
// effects. Where 200 rounds do not settle, the last round is the answer and `rounds` is 200.
// `extra` is one value, not a spread: found to 1/32 of its prior's mode and never above some 4.6
// times it; with fewer than about six rows intervals are a little short for it (judgement).
//
// Source. Mixed models [Bates2015]; the t as a weighted normal [Lange1989]; a prior that keeps a
// scale from zero [Chung2013], who use a gamma density where we use Rayleigh's.

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
  /// none. The prior keeps the noise of few rows from being taken for none.
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

/// Posterior of all effects; deterministic. With normal noise of known scale and normal priors it
/// is exact. At least one global effect; every prior's sigma above 0.
MixedFit fit(const MixedModel& model);

}  // namespace basefog::numeric
