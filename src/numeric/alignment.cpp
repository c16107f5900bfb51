// SPDX-License-Identifier: GPL-3.0-or-later
#include "numeric/alignment.hpp"

#include <algorithm>
#include <cmath>
#include <limits>

namespace basefog {
namespace {

using Eigen::Index;
using Eigen::MatrixXd;

double log_sum(double a, double b, double c) {
  const double most = std::max({a, b, c});
  if (most == -std::numeric_limits<double>::infinity()) return most;
  return most + std::log(std::exp(a - most) + std::exp(b - most) + std::exp(c - most));
}

}  // namespace

AlignmentSum sum_alignments(const AlignmentProblem& problem) {
  const Index n = problem.pair.rows();
  const Index m = problem.pair.cols();
  constexpr double kNever = -std::numeric_limits<double>::infinity();
  // forward(i, j): all ways to have dealt with the first i and the first j; backward: the rest.
  MatrixXd forward = MatrixXd::Constant(n + 1, m + 1, kNever);
  MatrixXd backward = forward;
  forward(0, 0) = 0;
  backward(n, m) = 0;
  for (Index i = 0; i <= n; ++i) {
    for (Index j = 0; j <= m; ++j) {
      if (i == 0 && j == 0) continue;
      forward(i, j) =
          log_sum(i > 0 && j > 0 ? forward(i - 1, j - 1) + problem.pair(i - 1, j - 1) : kNever,
                  i > 0 ? forward(i - 1, j) + problem.skip_first(i - 1) : kNever,
                  j > 0 ? forward(i, j - 1) + problem.skip_second(j - 1) : kNever);
    }
  }
  for (Index i = n; i >= 0; --i) {
    for (Index j = m; j >= 0; --j) {
      if (i == n && j == m) continue;
      backward(i, j) =
          log_sum(i < n && j < m ? backward(i + 1, j + 1) + problem.pair(i, j) : kNever,
                  i < n ? backward(i + 1, j) + problem.skip_first(i) : kNever,
                  j < m ? backward(i, j + 1) + problem.skip_second(j) : kNever);
    }
  }
  AlignmentSum sum{.log_likelihood = forward(n, m), .posterior = MatrixXd::Zero(n, m)};
  // Skips in either order between the same two pairs are counted each; that favours no pair.
  for (Index i = 0; i < n; ++i) {
    for (Index j = 0; j < m; ++j) {
      sum.posterior(i, j) = std::exp(forward(i, j) + problem.pair(i, j) + backward(i + 1, j + 1) -
                                     sum.log_likelihood);
    }
  }
  return sum;
}

std::vector<std::optional<std::size_t>> best_alignment(const MatrixXd& scores, double least) {
  const Index n = scores.rows();
  const Index m = scores.cols();
  MatrixXd best = MatrixXd::Zero(n + 1, m + 1);
  for (Index i = 1; i <= n; ++i) {
    for (Index j = 1; j <= m; ++j) {
      best(i, j) = std::max(
          {best(i - 1, j - 1) + scores(i - 1, j - 1) - least, best(i - 1, j), best(i, j - 1)});
    }
  }
  std::vector<std::optional<std::size_t>> partner(static_cast<std::size_t>(n));
  for (Index i = n, j = m; i > 0 && j > 0;) {
    if (best(i, j) == best(i - 1, j)) {
      --i;
    } else if (best(i, j) == best(i, j - 1)) {
      --j;
    } else {
      partner[static_cast<std::size_t>(i - 1)] = static_cast<std::size_t>(j - 1);
      --i;
      --j;
    }
  }
  return partner;
}

}  // namespace basefog
