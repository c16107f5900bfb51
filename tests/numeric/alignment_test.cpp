// SPDX-License-Identifier: GPL-3.0-or-later
// The recursions against every alignment, written out one by one.
#include "numeric/alignment.hpp"

#include <gtest/gtest.h>

#include <cmath>
#include <random>

namespace basefog::numeric {
namespace {

using Eigen::Index;
using Eigen::MatrixXd;

AlignmentProblem some_problem(Index n, Index m, unsigned seed) {
  std::mt19937 random(seed);
  std::normal_distribution<double> normal(0, 1);
  const auto matrix = [&](Index rows, Index columns) {
    return MatrixXd(MatrixXd::NullaryExpr(rows, columns, [&] { return normal(random); }));
  };
  AlignmentProblem problem{.pair = matrix(n, m),
                           .follow = {},
                           .skip_first = matrix(n, m + 1),
                           .skip_second = matrix(m, 1),
                           .hollow = {}};
  for (auto& by_second : problem.follow) {
    for (MatrixXd& follow : by_second) follow = matrix(n, m);
  }
  return problem;
}

struct EveryAlignment {
  const AlignmentProblem& problem;
  double sum = 0;
  MatrixXd pairs = MatrixXd::Zero(problem.pair.rows(), problem.pair.cols());

  using Pairs = std::vector<std::pair<Index, Index>>;

  /// Goes on from (i, j); `may_skip_first` is false after an element of the second was skipped.
  void go(Index i, Index j, bool may_skip_first, double weight, const Pairs& done) {
    if (i == problem.pair.rows() && j == problem.pair.cols()) {
      sum += std::exp(weight);
      for (const auto& [a, b] : done) pairs(a, b) += std::exp(weight);
      return;
    }
    if (i < problem.pair.rows() && j < problem.pair.cols()) {
      double pair = problem.pair(i, j);
      if (!done.empty()) {
        const Index a = i - 1 - done.back().first;
        const Index b = j - 1 - done.back().second;
        constexpr Index kReach = AlignmentProblem::kReach;
        if (a < kReach && b < kReach) {
          pair += problem.follow[static_cast<std::size_t>(a)][static_cast<std::size_t>(b)](i, j);
        }
      }
      Pairs more = done;
      more.emplace_back(i, j);
      go(i + 1, j + 1, true, weight + pair, more);
    }
    if (i < problem.pair.rows() && may_skip_first) {
      go(i + 1, j, true, weight + problem.skip_first(i, j), done);
    }
    if (j < problem.pair.cols()) go(i, j + 1, false, weight + problem.skip_second(j), done);
  }
};

TEST(Alignment, sums_over_every_alignment) {
  for (const auto& [n, m] : {std::pair<Index, Index>{6, 5}, {4, 6}, {1, 1}, {3, 1}}) {
    const AlignmentProblem problem = some_problem(n, m, static_cast<unsigned>(n * 10 + m));
    EveryAlignment every{problem};
    every.go(0, 0, true, 0, {});
    const AlignmentSum sum = sum_alignments(problem);
    EXPECT_NEAR(sum.log_likelihood, std::log(every.sum), 1e-9);
    EXPECT_LT((sum.posterior - every.pairs / every.sum).cwiseAbs().maxCoeff(), 1e-9);
  }
}

TEST(Alignment, remembers_the_pair_before_a_place_that_holds_nothing) {
  // Three elements each, of which the second of the second holds nothing: the pair (2, 2) follows
  // (0, 0) over one element of either.
  AlignmentProblem problem = some_problem(3, 3, 4);
  problem.skip_first.setConstant(-1e3);
  problem.skip_second.setConstant(-1e3);
  problem.hollow.setConstant(3, 3, false);
  problem.hollow.col(1).setConstant(true);
  const AlignmentSum sum = sum_alignments(problem);
  EXPECT_NEAR(sum.log_likelihood, problem.pair.trace() + problem.follow[1][1](2, 2), 1e-9);
  EXPECT_NEAR(sum.posterior(2, 2), 1, 1e-9);
  EXPECT_EQ(sum.posterior(1, 1), 0);
}

TEST(Alignment, of_nothing_leaves_all_alone) {
  AlignmentProblem problem = some_problem(3, 2, 1);
  problem.pair = MatrixXd(3, 0);
  problem.follow = {};
  problem.skip_second.resize(0);
  EXPECT_NEAR(sum_alignments(problem).log_likelihood, problem.skip_first.col(0).sum(), 1e-9);
}

TEST(Alignment, that_is_best_has_the_most_right_elements) {
  MatrixXd posterior(2, 2);
  posterior << 0.5, 0.4, 0.1, 0.45;
  const auto partners = best_alignment(posterior);
  EXPECT_EQ(partners[0], 0U);
  EXPECT_EQ(partners[1], 1U);
  posterior << 0.2, 0.1, 0.1, 0.2;
  EXPECT_FALSE(best_alignment(posterior)[0]);
}

}  // namespace
}  // namespace basefog::numeric
