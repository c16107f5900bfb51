// SPDX-License-Identifier: GPL-3.0-or-later
#pragma once

#include <Eigen/Dense>
#include <array>
#include <cstddef>
#include <optional>
#include <vector>

namespace basefog::numeric {

/// Two sequences that run in the same order, with elements of either missing from the other: the
/// log likelihoods of what may be done with each element. n and m are the lengths.
struct AlignmentProblem {
  /// Pairs remember the pair before them over fewer than this many elements of either sequence.
  static constexpr int kReach = 3;

  Eigen::MatrixXd pair;  ///< n x m: element i of the first with element j of the second
  /// n x m: what is added to a pair (i, j) whose pair before is (i - 1 - a, j - 1 - b), at
  /// follow[a][b]; empty for nothing.
  std::array<std::array<Eigen::MatrixXd, kReach>, kReach> follow;
  /// n x (m + 1): element i of the first has no partner, after j elements of the second.
  Eigen::MatrixXd skip_first;
  Eigen::VectorXd skip_second;  ///< m: element j of the second has no partner
  /// n x m, or empty: pairs with a place that holds nothing. They are gone through as pairs, but
  /// the pair after them remembers the one before them.
  Eigen::Array<bool, Eigen::Dynamic, Eigen::Dynamic> hollow;
};

/// Sum over all alignments, by the forward and backward recursions of a pair hidden Markov model
/// [Durbin1998, ch. 4], in time and memory proportional to the product of the lengths. Elements
/// without partner between the same two pairs count once: those of the first, then of the second.
struct AlignmentSum {
  double log_likelihood = 0;  ///< of all alignments together
  Eigen::MatrixXd posterior;  ///< n x m: probability that i and j are a pair; 0 for hollow pairs
};
AlignmentSum sum_alignments(const AlignmentProblem& problem);

/// The partner of each element of the first, order kept, so that the expected number of elements
/// of the first that are dealt with rightly is greatest. posterior: n x m, probabilities of pairs,
/// each row summing to at most 1; what is missing to 1 is the probability of no partner.
std::vector<std::optional<std::size_t>> best_alignment(const Eigen::MatrixXd& posterior);

}  // namespace basefog::numeric
