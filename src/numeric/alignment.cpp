// SPDX-License-Identifier: GPL-3.0-or-later
#include "numeric/alignment.hpp"

#include <algorithm>
#include <array>
#include <cmath>
#include <limits>

namespace basefog::numeric {
namespace {

using Eigen::Index;
using Eigen::MatrixXd;

constexpr double kNever = -std::numeric_limits<double>::infinity();

constexpr int kReach = AlignmentProblem::kReach;
constexpr int kGaps = kReach + 1;  ///< elements passed since the last pair; kReach: or more

/// F(a, b): the sum of the weights of all ways to (or on from) one place, by the elements a of the
/// first and b of the second passed since the last pair. Held as shares of e^log_scale, so that
/// products of many likelihoods neither overflow nor vanish.
struct Cell {
  double& operator()(int a, int b) { return at[static_cast<std::size_t>(a * kGaps + b)]; }
  double operator()(int a, int b) const { return at[static_cast<std::size_t>(a * kGaps + b)]; }

  double log_sum() const {
    double sum = 0;
    for (const double share : at) sum += share;
    return log_scale + std::log(sum);
  }

  /// Brings the greatest share to 1.
  void settle() {
    const double most = *std::max_element(at.begin(), at.end());
    if (most == 0) {
      log_scale = kNever;
      return;
    }
    for (double& share : at) share /= most;
    log_scale += std::log(most);
  }

  double log_scale = kNever;
  std::array<double, std::size_t{kGaps} * kGaps> at{};
};

int further(int gap) { return std::min(gap + 1, kReach); }

/// The three ways on from a cell or to it, and how likely each is.
struct Step {
  const Cell* cell = nullptr;
  double log_cost = 0;

  double log_scale() const { return cell == nullptr ? kNever : cell->log_scale + log_cost; }
  double factor(double log_scale_there) const {
    return log_scale() == kNever ? 0 : std::exp(log_scale() - log_scale_there);
  }
};

/// With (i, j) for the first i and j elements gone through, g(x) = min(x + 1, kReach), and
/// followed = exp(follow[a][b]), 1 where a or b is kReach:
///
///   forward(i, j)(0, 0)     = sum over a, b of forward(i-1, j-1)(a, b) e^pair followed   a pair
///   forward(i, j)(g(a), g(b)) += forward(i-1, j-1)(a, b) e^pair                          hollow
///   forward(i, j)(g(a), b)  += forward(i-1, j)(a, b) e^skip_first(i-1, j)
///   forward(i, j)(a, g(b))  += forward(i, j-1)(a, b) e^skip_second(j-1)
///
/// and backward is the same sums from the end. As (0, 0) is entered by pairs alone,
///   posterior(i, j) = forward(i+1, j+1)(0, 0) backward(i+1, j+1)(0, 0) / sum of forward(n, m).
class Recursions {
 public:
  explicit Recursions(const AlignmentProblem& problem)
      : problem_(problem),
        n_(problem.pair.rows()),
        m_(problem.pair.cols()),
        forward_(static_cast<std::size_t>((n_ + 1) * (m_ + 1))),
        backward_(forward_.size()) {
    for (int a = 0; a < kReach; ++a) {
      for (int b = 0; b < kReach; ++b) {
        const MatrixXd& follow = problem.follow[at(a)][at(b)];
        if (follow.size() != 0) follow_[at(a)][at(b)] = follow.array().exp();
      }
    }
  }

  AlignmentSum sum() {
    go_forward();
    go_backward();
    AlignmentSum sum{.log_likelihood = at(forward_, n_, m_).log_sum(),
                     .posterior = MatrixXd::Zero(n_, m_)};
    for (Index i = 0; i < n_; ++i) {
      for (Index j = 0; j < m_; ++j) {
        if (hollow(i, j)) continue;
        const Cell& to = at(forward_, i + 1, j + 1);
        const Cell& from = at(backward_, i + 1, j + 1);
        if (to.log_scale == kNever || from.log_scale == kNever) continue;
        sum.posterior(i, j) =
            to(0, 0) * from(0, 0) * std::exp(to.log_scale + from.log_scale - sum.log_likelihood);
      }
    }
    return sum;
  }

 private:
  using Cells = std::vector<Cell>;

  static std::size_t at(int gap) { return static_cast<std::size_t>(gap); }
  Cell& at(Cells& cells, Index i, Index j) const {
    return cells[static_cast<std::size_t>(i * (m_ + 1) + j)];
  }
  bool hollow(Index i, Index j) const {
    return problem_.hollow.size() != 0 && problem_.hollow(i, j);
  }

  double followed(int a, int b, Index i, Index j) const {
    if (a == kReach || b == kReach) return 1;
    const MatrixXd& follow = follow_[at(a)][at(b)];
    return follow.size() == 0 ? 1 : follow(i, j);
  }

  /// All ways to have come to each (i, j).
  void go_forward() {
    Cell& start = at(forward_, 0, 0);
    start(kReach, kReach) = 1;  // no pair to remember
    start.log_scale = 0;
    for (Index i = 0; i <= n_; ++i) {
      for (Index j = 0; j <= m_; ++j) {
        if (i > 0 || j > 0) come_to(i, j);
      }
    }
  }

  void come_to(Index i, Index j) {
    Step pair;
    Step first;
    Step second;
    if (i > 0 && j > 0) pair = {&at(forward_, i - 1, j - 1), problem_.pair(i - 1, j - 1)};
    if (i > 0) first = {&at(forward_, i - 1, j), problem_.skip_first(i - 1, j)};
    if (j > 0) second = {&at(forward_, i, j - 1), problem_.skip_second(j - 1)};
    Cell& here = at(forward_, i, j);
    here.log_scale = std::max({pair.log_scale(), first.log_scale(), second.log_scale()});
    if (here.log_scale == kNever) return;
    const double by_pair = pair.factor(here.log_scale);
    const double by_first = first.factor(here.log_scale);
    const double by_second = second.factor(here.log_scale);
    const bool empty = by_pair > 0 && hollow(i - 1, j - 1);
    for (int a = 0; a < kGaps; ++a) {
      for (int b = 0; b < kGaps; ++b) {
        if (by_first > 0) here(further(a), b) += by_first * (*first.cell)(a, b);
        if (by_second > 0) here(a, further(b)) += by_second * (*second.cell)(a, b);
        if (by_pair == 0) continue;
        const double before = by_pair * (*pair.cell)(a, b);
        if (empty) {
          here(further(a), further(b)) += before;
        } else {
          here(0, 0) += before * followed(a, b, i - 1, j - 1);
        }
      }
    }
    here.settle();
  }

  /// All ways to go on from each (i, j).
  void go_backward() {
    Cell& end = at(backward_, n_, m_);
    end.at.fill(1);
    end.log_scale = 0;
    for (Index i = n_; i >= 0; --i) {
      for (Index j = m_; j >= 0; --j) {
        if (i < n_ || j < m_) go_on_from(i, j);
      }
    }
  }

  void go_on_from(Index i, Index j) {
    Step pair;
    Step first;
    Step second;
    if (i < n_ && j < m_) pair = {&at(backward_, i + 1, j + 1), problem_.pair(i, j)};
    if (i < n_) first = {&at(backward_, i + 1, j), problem_.skip_first(i, j)};
    if (j < m_) second = {&at(backward_, i, j + 1), problem_.skip_second(j)};
    Cell& here = at(backward_, i, j);
    here.log_scale = std::max({pair.log_scale(), first.log_scale(), second.log_scale()});
    if (here.log_scale == kNever) return;
    const double by_pair = pair.factor(here.log_scale);
    const double by_first = first.factor(here.log_scale);
    const double by_second = second.factor(here.log_scale);
    const bool empty = by_pair > 0 && hollow(i, j);
    for (int a = 0; a < kGaps; ++a) {
      for (int b = 0; b < kGaps; ++b) {
        if (by_first > 0) here(a, b) += by_first * (*first.cell)(further(a), b);
        if (by_second > 0) here(a, b) += by_second * (*second.cell)(a, further(b));
        if (by_pair == 0) continue;
        here(a, b) += empty ? by_pair * (*pair.cell)(further(a), further(b))
                            : by_pair * followed(a, b, i, j) * (*pair.cell)(0, 0);
      }
    }
    here.settle();
  }

  const AlignmentProblem& problem_;
  Index n_;
  Index m_;
  std::array<std::array<MatrixXd, kReach>, kReach> follow_;
  Cells forward_;
  Cells backward_;
};

}  // namespace

AlignmentSum sum_alignments(const AlignmentProblem& problem) { return Recursions(problem).sum(); }

std::vector<std::optional<std::size_t>> best_alignment(const MatrixXd& posterior) {
  const Index n = posterior.rows();
  const Index m = posterior.cols();
  // A pair gains its probability and loses that of its first element having no partner.
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

}  // namespace basefog::numeric
