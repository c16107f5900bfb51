// SPDX-License-Identifier: GPL-3.0-or-later
#include "numeric/alignment.hpp"

#include <algorithm>
#include <cmath>
#include <limits>

namespace basefog {
namespace {

using Eigen::Index;
using Eigen::MatrixXd;

constexpr double kNever = -std::numeric_limits<double>::infinity();

double log_sum(double a, double b) {
  const double most = std::max(a, b);
  if (most == kNever) return kNever;
  return most + std::log1p(std::exp(std::min(a, b) - most));
}

/// Log likelihoods by what was done last, with i of the first and j of the second gone by.
struct Table {
  Table(Index n, Index m)
      : pair(MatrixXd::Constant(n + 1, m + 1, kNever)), first(pair), second(pair) {}
  MatrixXd pair;    ///< i and j were a pair, or nothing was done yet
  MatrixXd first;   ///< i had no partner
  MatrixXd second;  ///< j had no partner
};

/// All ways to have come to (i, j).
Table forward_table(const AlignmentProblem& problem) {
  const Index n = problem.pair.rows();
  const Index m = problem.pair.cols();
  Table f(n, m);
  f.pair(0, 0) = 0;
  for (Index i = 0; i <= n; ++i) {
    for (Index j = 0; j <= m; ++j) {
      if (i > 0 && j > 0) {
        const double apart = log_sum(f.first(i - 1, j - 1), f.second(i - 1, j - 1));
        const double straight =
            f.pair(i - 1, j - 1) + (i > 1 && j > 1 ? problem.follow(i - 1, j - 1) : 0);
        f.pair(i, j) = problem.pair(i - 1, j - 1) + log_sum(apart, straight);
      }
      if (i > 0) {
        f.first(i, j) = problem.skip_first(i - 1, j) + log_sum(f.pair(i - 1, j), f.first(i - 1, j));
      }
      if (j > 0) {
        f.second(i, j) = problem.skip_second(j - 1) +
                         log_sum(log_sum(f.pair(i, j - 1), f.first(i, j - 1)), f.second(i, j - 1));
      }
    }
  }
  return f;
}

/// All ways to go on from (i, j).
Table backward_table(const AlignmentProblem& problem) {
  const Index n = problem.pair.rows();
  const Index m = problem.pair.cols();
  Table b(n, m);
  b.pair(n, m) = b.first(n, m) = b.second(n, m) = 0;
  for (Index i = n; i >= 0; --i) {
    for (Index j = m; j >= 0; --j) {
      if (i == n && j == m) continue;
      const bool both = i < n && j < m;
      const double pair = both ? problem.pair(i, j) + b.pair(i + 1, j + 1) : kNever;
      const double straight = both && i > 0 && j > 0 ? pair + problem.follow(i, j) : pair;
      const double skip_first = i < n ? problem.skip_first(i, j) + b.first(i + 1, j) : kNever;
      const double skip_second = j < m ? problem.skip_second(j) + b.second(i, j + 1) : kNever;
      b.pair(i, j) = log_sum(log_sum(straight, skip_first), skip_second);
      b.first(i, j) = log_sum(log_sum(pair, skip_first), skip_second);
      b.second(i, j) = log_sum(pair, skip_second);
    }
  }
  return b;
}

}  // namespace

AlignmentSum sum_alignments(const AlignmentProblem& problem) {
  const Index n = problem.pair.rows();
  const Index m = problem.pair.cols();
  const Table forward = forward_table(problem);
  const Table backward = backward_table(problem);
  const double all =
      log_sum(log_sum(forward.pair(n, m), forward.first(n, m)), forward.second(n, m));
  AlignmentSum sum{.log_likelihood = all, .posterior = MatrixXd::Zero(n, m)};
  for (Index i = 0; i < n; ++i) {
    for (Index j = 0; j < m; ++j) {
      sum.posterior(i, j) =
          std::exp(forward.pair(i + 1, j + 1) + backward.pair(i + 1, j + 1) - all);
    }
  }
  return sum;
}

std::vector<std::optional<std::size_t>> best_alignment(const MatrixXd& posterior) {
  const Index n = posterior.rows();
  const Index m = posterior.cols();
  // Gain of a pair over leaving its first element alone.
  const Eigen::VectorXd alone = 1 - posterior.rowwise().sum().array();
  MatrixXd best = MatrixXd::Zero(n + 1, m + 1);
  for (Index i = 1; i <= n; ++i) {
    for (Index j = 1; j <= m; ++j) {
      best(i, j) = std::max({best(i - 1, j - 1) + posterior(i - 1, j - 1) - alone(i - 1),
                             best(i - 1, j), best(i, j - 1)});
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
