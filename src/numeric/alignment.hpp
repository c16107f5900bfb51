// SPDX-License-Identifier: GPL-3.0-or-later
#pragma once

#include <Eigen/Dense>
#include <array>
#include <cstddef>
#include <memory>
#include <optional>
#include <vector>

namespace basefog::numeric {

// All alignments of two sequences, weighed.
//
// Formula. Two sequences of n and m elements run in the same order; either may lack elements of the
// other. An alignment A is a story that has both: one element after another of what was there, each
// with a partner, in the first alone or in the second alone. It weighs
//
//   W(A) = product over its pairs (i, j) of exp(pair(i, j) + follow[a][b](i, j))
//        x product over the i of the first left alone of exp(skip_first(i, j))
//        x product over the j of the second left alone of exp(skip_second(j))
//
// where a and b are the numbers of elements of the first and of the second between a pair and the
// pair before it; follow counts only where a pair came before and a, b < kReach. In skip_first j is
// the number of elements of the second gone through. Sought are
//
//   log_likelihood  = ln (sum of W(A) over all A)
//   posterior(i, j) = sum of W(A) over the A that pair i with j / sum of W(A) over all A
//
// All entries are natural logarithms of likelihoods, without unit.
//
// Assumes. Order is kept. What a pair is worth depends on the pair before it and no further back.
// Between two pairs an element of the first that is left alone may have come before one of the
// second or after it: these are two stories of one set of pairs, and both count.
//
// Costs. 2 (n + 1)(m + 1) cells of (kReach + 1)^2 numbers, each with three ways on, of which two
// rows are held at a time, and kReach^2 numbers a pair: time and memory in proportion to n m.
//
// Accurate. To 1e-9 against all alignments written out one by one
// (Alignment.sums_over_every_alignment), and to the forward algorithm of [Durbin1998]
// (Alignment.sums_as_the_forward_algorithm_does).
//
// Fails. Where every alignment weighs nothing (log likelihoods of minus infinity) log_likelihood is
// minus infinity and the posterior means nothing. Of two ways to one cell a way that is less likely
// by e^708 counts as impossible: the range of a double.
//
// Source. Forward and backward recursions of a pair hidden Markov model [Durbin1998, ch. 4]. That a
// pair remembers the one before it is ours: states are kept apart by the gaps since that pair.

/// Log likelihoods of what may be done with each element. n and m are the lengths.
struct AlignmentProblem {
  /// A pair remembers the pair before it over fewer than this many elements of either sequence.
  static constexpr int kReach = 3;

  Eigen::MatrixXd pair;  ///< n x m: element i of the first with element j of the second
  /// n x m: what is added to a pair (i, j) whose pair before is (i - 1 - a, j - 1 - b), at
  /// follow[a][b]; empty for nothing.
  std::array<std::array<Eigen::MatrixXd, kReach>, kReach> follow;
  /// n x (m + 1): element i of the first has no partner, after j elements of the second.
  Eigen::MatrixXd skip_first;
  Eigen::VectorXd skip_second;  ///< m: element j of the second has no partner
  /// n x m, or empty: pairs with a place that holds nothing. They weigh exp(pair) and count as one
  /// element passed in either sequence: no pair follows them, and the next pair remembers the pair
  /// before them.
  Eigen::Array<bool, Eigen::Dynamic, Eigen::Dynamic> hollow;
};

struct AlignmentSum {
  double log_likelihood = 0;  ///< of all alignments together
  Eigen::MatrixXd posterior;  ///< n x m: probability that i and j are a pair; 0 for hollow pairs
};

/// A problem made ready to be summed, again with other skips if need be: what pairs are worth is
/// turned into weights once.
class Alignments {
 public:
  explicit Alignments(const AlignmentProblem& problem);
  ~Alignments();

  /// Takes the place of `skip_first` and `skip_second`, of the same sizes.
  void set_skips(const Eigen::MatrixXd& first, const Eigen::VectorXd& second);
  /// As `sum` has it, in half the time.
  double log_likelihood() const;
  AlignmentSum sum() const;

 private:
  struct Weights;
  std::unique_ptr<Weights> weights_;
};

/// The sum over all alignments, and how probable each pair is.
AlignmentSum sum_alignments(const AlignmentProblem& problem);

/// The partner of each element of the first, order kept, with the greatest expected number of right
/// answers: the sum of posterior(i, j) over the pairs chosen plus, for each element without
/// partner, of 1 - sum over j of posterior(i, j). posterior: n x m, each row sums to at most 1.
/// Exact, in n m steps (Alignment.that_is_best_has_the_most_right_elements); where leaving an
/// element alone is as good as a pair, it stays alone. [Durbin1998, ch. 4]
std::vector<std::optional<std::size_t>> best_alignment(const Eigen::MatrixXd& posterior);

}  // namespace basefog::numeric
