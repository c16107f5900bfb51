// SPDX-License-Identifier: GPL-3.0-or-later
#include "numeric/alignment.hpp"

#include <algorithm>
#include <array>
#include <bit>
#include <cmath>
#include <cstdint>
#include <limits>
#include <numbers>
#include <utility>

namespace basefog::numeric {
namespace {

using Eigen::Index;
using Eigen::MatrixXd;

constexpr int kReach = AlignmentProblem::kReach;
constexpr int kGaps = kReach + 1;  ///< elements passed since the last pair; kReach: or more
/// Less than any power of two that is met: of sums that are 0. Two of them still fit.
constexpr int kNothing = -(1 << 28);

/// 2^power up to 2^1023; 0 below the range of a double.
double two_to(int power) {
  constexpr int kLeast = -1022;
  constexpr int kBias = 1023;
  constexpr int kFraction = 52;  // bits, IEEE 754 binary64
  return power < kLeast ? 0 : std::bit_cast<double>(std::uint64_t(power + kBias) << kFraction);
}

/// value x 2^power, so that products of many likelihoods neither overflow nor vanish.
struct Scaled {
  double value = 0;
  int power = kNothing;

  double times(int power_there) const { return value * two_to(power - power_there); }
};

Scaled exp_of(double log) {
  if (log == -std::numeric_limits<double>::infinity()) return {};
  const double power = std::floor(log / std::numbers::ln2);
  return {std::exp(log - power * std::numbers::ln2), static_cast<int>(power)};
}

/// F(a, b): the sum of the weights of all ways to (or on from) one place, by the elements a of the
/// first and b of the second passed since the last pair, each times 2^power.
struct Cell {
  double& operator()(int a, int b) { return at[static_cast<std::size_t>(a * kGaps + b)]; }
  double operator()(int a, int b) const { return at[static_cast<std::size_t>(a * kGaps + b)]; }

  double log_sum() const {
    double sum = 0;
    for (const double share : at) sum += share;
    return power * std::numbers::ln2 + std::log(sum);
  }

  /// Brings the greatest share to between 1 and 2.
  void settle() {
    const double most = *std::max_element(at.begin(), at.end());
    if (most == 0) {
      power = kNothing;
      return;
    }
    const int over = std::max(std::ilogb(most), -1000);
    const double down = two_to(-over);
    for (double& share : at) share *= down;
    power += over;
  }

  int power = kNothing;
  std::array<double, std::size_t{kGaps} * kGaps> at{};
};

int further(int gap) { return std::min(gap + 1, kReach); }

/// One of the three ways on from a cell or to it: the cell at its other end, and its weight.
struct Step {
  const Cell* cell = nullptr;
  Scaled weight;

  int power() const { return cell == nullptr ? kNothing : cell->power + weight.power; }
  double factor(int power_there) const {
    return cell == nullptr ? 0 : Scaled{weight.value, power()}.times(power_there);
  }
};

}  // namespace

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
/// So of forward (0, 0) is kept, and of all else two rows.
struct Alignments::Weights {
  using Row = std::vector<Cell>;
  using Followed = std::array<double, std::size_t{kReach} * kReach>;

  explicit Weights(const AlignmentProblem& problem)
      : n(problem.pair.rows()), m(problem.pair.cols()), hollow(problem.hollow) {
    pair.reserve(static_cast<std::size_t>(n * m));
    followed.resize(static_cast<std::size_t>(n * m));
    for (Index i = 0; i < n; ++i) {
      for (Index j = 0; j < m; ++j) {
        pair.push_back(exp_of(problem.pair(i, j)));
        Followed& here = followed[at(i, j)];
        for (std::size_t k = 0; k < here.size(); ++k) {
          const MatrixXd& follow = problem.follow[k / kReach][k % kReach];
          here[k] = follow.size() == 0 ? 1 : std::exp(follow(i, j));
        }
      }
    }
    set_skips(problem.skip_first, problem.skip_second);
  }

  void set_skips(const MatrixXd& first, const Eigen::VectorXd& second) {
    skip_first.clear();
    skip_second.clear();
    for (Index i = 0; i < n; ++i) {
      for (Index j = 0; j <= m; ++j) skip_first.push_back(exp_of(first(i, j)));
    }
    for (Index j = 0; j < m; ++j) skip_second.push_back(exp_of(second(j)));
  }

  /// All ways to have come to each (i, j); the last cell. entered: of each, by a pair.
  Cell go_forward(std::vector<Scaled>* entered) const {
    Row before;
    Row here;
    for (Index i = 0; i <= n; ++i) {
      std::swap(before, here);
      here.assign(static_cast<std::size_t>(m + 1), {});
      for (Index j = 0; j <= m; ++j) {
        Cell& cell = here[static_cast<std::size_t>(j)];
        if (i == 0 && j == 0) {
          cell(kReach, kReach) = 1;  // no pair to remember
          cell.power = 0;
          continue;
        }
        come_to(cell, before, here, i, j);
        if (entered != nullptr && i > 0 && j > 0) {
          (*entered)[at(i - 1, j - 1)] = {cell(0, 0), cell.power};
        }
      }
    }
    return here.back();
  }

  void come_to(Cell& here, const Row& before, const Row& row, Index i, Index j) const {
    const auto k = static_cast<std::size_t>(j);
    Step by_pair;
    Step by_first;
    Step by_second;
    if (i > 0 && j > 0) by_pair = {&before[k - 1], pair[at(i - 1, j - 1)]};
    if (i > 0) by_first = {&before[k], skip_first[first_at(i - 1, j)]};
    if (j > 0) by_second = {&row[k - 1], skip_second[k - 1]};
    here.power = std::max({by_pair.power(), by_first.power(), by_second.power()});
    if (here.power <= kNothing) return;
    const double paired = by_pair.factor(here.power);
    const double first = by_first.factor(here.power);
    const double second = by_second.factor(here.power);
    const bool empty = paired > 0 && is_hollow(i - 1, j - 1);
    for (int a = 0; a < kGaps; ++a) {
      for (int b = 0; b < kGaps; ++b) {
        if (first > 0) here(further(a), b) += first * (*by_first.cell)(a, b);
        if (second > 0) here(a, further(b)) += second * (*by_second.cell)(a, b);
        if (empty) here(further(a), further(b)) += paired * (*by_pair.cell)(a, b);
      }
    }
    if (paired > 0 && !empty) {
      here(0, 0) += paired * sum_followed(*by_pair.cell, followed[at(i - 1, j - 1)]);
    }
    here.settle();
  }

  static double sum_followed(const Cell& cell, const Followed& followed) {
    double sum = 0;
    for (int a = 0; a < kGaps; ++a) {
      for (int b = 0; b < kGaps; ++b) {
        const bool far = a == kReach || b == kReach;
        sum += cell(a, b) * (far ? 1 : followed[static_cast<std::size_t>(a * kReach + b)]);
      }
    }
    return sum;
  }

  /// All ways to go on from each (i, j), told to each(i, j, cell).
  template <class Each>
  void go_backward(const Each& each) const {
    Row after;
    Row here;
    for (Index i = n; i >= 0; --i) {
      std::swap(after, here);
      here.assign(static_cast<std::size_t>(m + 1), {});
      for (Index j = m; j >= 0; --j) {
        Cell& cell = here[static_cast<std::size_t>(j)];
        if (i == n && j == m) {
          cell.at.fill(1);
          cell.power = 0;
        } else {
          go_on_from(cell, after, here, i, j);
        }
        each(i, j, cell);
      }
    }
  }

  void go_on_from(Cell& here, const Row& after, const Row& row, Index i, Index j) const {
    const auto k = static_cast<std::size_t>(j);
    Step by_pair;
    Step by_first;
    Step by_second;
    if (i < n && j < m) by_pair = {&after[k + 1], pair[at(i, j)]};
    if (i < n) by_first = {&after[k], skip_first[first_at(i, j)]};
    if (j < m) by_second = {&row[k + 1], skip_second[k]};
    here.power = std::max({by_pair.power(), by_first.power(), by_second.power()});
    if (here.power <= kNothing) return;
    const double paired = by_pair.factor(here.power);
    const double first = by_first.factor(here.power);
    const double second = by_second.factor(here.power);
    const bool empty = paired > 0 && is_hollow(i, j);
    for (int a = 0; a < kGaps; ++a) {
      for (int b = 0; b < kGaps; ++b) {
        if (first > 0) here(a, b) += first * (*by_first.cell)(further(a), b);
        if (second > 0) here(a, b) += second * (*by_second.cell)(a, further(b));
        if (paired == 0) continue;
        if (empty) {
          here(a, b) += paired * (*by_pair.cell)(further(a), further(b));
          continue;
        }
        const bool far = a == kReach || b == kReach;
        here(a, b) += paired * (*by_pair.cell)(0, 0) *
                      (far ? 1 : followed[at(i, j)][static_cast<std::size_t>(a * kReach + b)]);
      }
    }
    here.settle();
  }

  std::size_t at(Index i, Index j) const { return static_cast<std::size_t>(i * m + j); }
  std::size_t first_at(Index i, Index j) const { return static_cast<std::size_t>(i * (m + 1) + j); }
  bool is_hollow(Index i, Index j) const { return hollow.size() != 0 && hollow(i, j); }

  Index n;
  Index m;
  std::vector<Scaled> pair;
  std::vector<Followed> followed;
  std::vector<Scaled> skip_first;
  std::vector<Scaled> skip_second;
  Eigen::Array<bool, Eigen::Dynamic, Eigen::Dynamic> hollow;
};

Alignments::Alignments(const AlignmentProblem& problem)
    : weights_(std::make_unique<Weights>(problem)) {}
Alignments::~Alignments() = default;

void Alignments::set_skips(const MatrixXd& first, const Eigen::VectorXd& second) {
  weights_->set_skips(first, second);
}

double Alignments::log_likelihood() const { return weights_->go_forward(nullptr).log_sum(); }

AlignmentSum Alignments::sum() const {
  const Weights& weights = *weights_;
  std::vector<Scaled> entered(static_cast<std::size_t>(weights.n * weights.m));
  AlignmentSum sum{.log_likelihood = weights.go_forward(&entered).log_sum(),
                   .posterior = MatrixXd::Zero(weights.n, weights.m)};
  weights.go_backward([&](Index i, Index j, const Cell& on) {
    if (i == 0 || j == 0 || weights.is_hollow(i - 1, j - 1)) return;
    const Scaled& to = entered[weights.at(i - 1, j - 1)];
    const double both = to.value * on(0, 0);
    if (both == 0) return;
    const double log_scale = (to.power + on.power) * std::numbers::ln2;
    sum.posterior(i - 1, j - 1) = both * std::exp(log_scale - sum.log_likelihood);
  });
  return sum;
}

AlignmentSum sum_alignments(const AlignmentProblem& problem) { return Alignments(problem).sum(); }

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
