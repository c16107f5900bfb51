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

  /// Goes on from (i, j): a pair, an element of the first alone, one of the second alone, in
  /// whatever order.
  void go(Index i, Index j, double weight, const Pairs& done) {
    if (i == problem.pair.rows() && j == problem.pair.cols()) {
      sum += std::exp(weight);
      for (const auto& [a, b] : done) pairs(a, b) += std::exp(weight);
      return;
    }
    if (i < problem.pair.rows() && j < problem.pair.cols()) {
      double pair = problem.pair(i, j);
      const bool hollow = problem.hollow.size() != 0 && problem.hollow(i, j);
      if (!done.empty() && !hollow) {
        const Index a = i - 1 - done.back().first;
        const Index b = j - 1 - done.back().second;
        constexpr Index kReach = AlignmentProblem::kReach;
        if (a < kReach && b < kReach) {
          pair += problem.follow[static_cast<std::size_t>(a)][static_cast<std::size_t>(b)](i, j);
        }
      }
      Pairs more = done;
      if (!hollow) more.emplace_back(i, j);
      go(i + 1, j + 1, weight + pair, more);
    }
    if (i < problem.pair.rows()) go(i + 1, j, weight + problem.skip_first(i, j), done);
    if (j < problem.pair.cols()) go(i, j + 1, weight + problem.skip_second(j), done);
  }
};

TEST(Alignment, sums_over_every_alignment) {
  for (const auto& [n, m] : {std::pair<Index, Index>{6, 5}, {4, 6}, {1, 1}, {3, 1}}) {
    const AlignmentProblem problem = some_problem(n, m, static_cast<unsigned>(n * 10 + m));
    EveryAlignment every{problem};
    every.go(0, 0, 0, {});
    const AlignmentSum sum = sum_alignments(problem);
    EXPECT_NEAR(sum.log_likelihood, std::log(every.sum), 1e-9);
    EXPECT_LT((sum.posterior - every.pairs / every.sum).cwiseAbs().maxCoeff(), 1e-9);
  }
}

TEST(Alignment, sums_over_every_alignment_with_places_that_hold_nothing) {
  AlignmentProblem problem = some_problem(5, 5, 9);
  problem.hollow.setConstant(5, 5, false);
  problem.hollow.row(1).setConstant(true);  // a frame never scanned, beside a row never written
  problem.hollow.col(2).setConstant(true);
  EveryAlignment every{problem};
  every.go(0, 0, 0, {});
  const AlignmentSum sum = sum_alignments(problem);
  EXPECT_NEAR(sum.log_likelihood, std::log(every.sum), 1e-9);
  EXPECT_LT((sum.posterior - every.pairs / every.sum).cwiseAbs().maxCoeff(), 1e-9);
}

TEST(Alignment, takes_other_skips_and_what_is_as_unlikely_as_it_may_be) {
  AlignmentProblem problem = some_problem(5, 4, 3);
  Alignments alignments(problem);
  problem.skip_first.array() -= 2;
  problem.skip_second.array() += 1;
  alignments.set_skips(problem.skip_first, problem.skip_second);
  const AlignmentSum fresh = sum_alignments(problem);
  EXPECT_DOUBLE_EQ(alignments.log_likelihood(), fresh.log_likelihood);
  EXPECT_EQ(alignments.sum().posterior, fresh.posterior);
  // Far beyond a double's range everywhere: all the same but for the scale.
  constexpr double kFar = -3000;
  problem.pair.array() += 2 * kFar;
  problem.skip_first.array() += kFar;
  problem.skip_second.array() += kFar;
  const AlignmentSum far = sum_alignments(problem);
  EXPECT_NEAR(far.log_likelihood, fresh.log_likelihood + 9 * kFar, 1e-6);
  EXPECT_LT((far.posterior - fresh.posterior).cwiseAbs().maxCoeff(), 1e-9);
}

TEST(Alignment, counts_as_many_as_there_are) {
  // Delannoy numbers, paths on a grid by steps right, down and across: 1, 3, 13, 63, 321, 1683
  // (OEIS A001850, central ones) and D(2, 4) = 41 (OEIS A008288).
  const auto count = [](Index n, Index m) {
    const AlignmentProblem problem{.pair = MatrixXd::Zero(n, m),
                                   .follow = {},
                                   .skip_first = MatrixXd::Zero(n, m + 1),
                                   .skip_second = Eigen::VectorXd::Zero(m),
                                   .hollow = {}};
    return std::exp(sum_alignments(problem).log_likelihood);
  };
  EXPECT_NEAR(count(1, 1), 3, 1e-9);
  EXPECT_NEAR(count(3, 3), 63, 1e-9);
  EXPECT_NEAR(count(5, 5), 1683, 1e-6);
  EXPECT_NEAR(count(2, 4), 41, 1e-9);
}

/// The forward algorithm of a pair hidden Markov model [Durbin1998, 4.2, from memory]: states match
/// (M), first alone (X), second alone (Y), with the same chance of each next state whatever came
/// before (delta for X and for Y, tau to end, the rest for M). p: emission of a pair; q: of one
/// element.
double forward_probability(const MatrixXd& p, double q, double delta, double tau) {
  const double match = 1 - 2 * delta - tau;
  const Index n = p.rows();
  const Index m = p.cols();
  MatrixXd in_m = MatrixXd::Zero(n + 1, m + 1);
  MatrixXd in_x = in_m;
  MatrixXd in_y = in_m;
  in_m(0, 0) = 1;
  const auto all = [&](Index i, Index j) { return in_m(i, j) + in_x(i, j) + in_y(i, j); };
  for (Index i = 0; i <= n; ++i) {
    for (Index j = 0; j <= m; ++j) {
      if (i > 0 && j > 0) in_m(i, j) = p(i - 1, j - 1) * match * all(i - 1, j - 1);
      if (i > 0) in_x(i, j) = q * delta * all(i - 1, j);
      if (j > 0) in_y(i, j) = q * delta * all(i, j - 1);
    }
  }
  return tau * all(n, m);
}

TEST(Alignment, sums_as_the_forward_algorithm_does) {
  // Two words of two letters, "AC" and "AG": alike 0.2, unlike 0.02; a letter alone 0.25.
  MatrixXd p(2, 2);
  p << 0.2, 0.02, 0.02, 0.02;
  constexpr double kAlone = 0.25;
  constexpr double kDelta = 0.2;
  constexpr double kTau = 0.1;
  AlignmentProblem problem{.pair = (p * (1 - 2 * kDelta - kTau)).array().log(),
                           .follow = {},
                           .skip_first = MatrixXd::Constant(2, 3, std::log(kAlone * kDelta)),
                           .skip_second = Eigen::VectorXd::Constant(2, std::log(kAlone * kDelta)),
                           .hollow = {}};
  const double summed = kTau * std::exp(sum_alignments(problem).log_likelihood);
  EXPECT_NEAR(summed, forward_probability(p, kAlone, kDelta, kTau), 1e-15);
  // By hand, with s = 0.05 for one alone and pairs 0.1, 0.01: both paired 0.1 * 0.01; the
  // first or the last pair alone, the others in 2 orders: (0.1 + 0.01) s^2 2; one pair across, 1
  // order: 0.01 s^2 each; none paired, 6 orders: 6 s^4.
  EXPECT_NEAR(summed, kTau * (0.001 + 0.11 * 0.0025 * 2 + 2 * 0.01 * 0.0025 + 6 * 0.00000625),
              1e-15);
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
