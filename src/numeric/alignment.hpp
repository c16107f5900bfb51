// SPDX-License-Identifier: GPL-3.0-or-later
#pragma once

#include <Eigen/Dense>
#include <cstddef>
#include <optional>
#include <vector>

namespace basefog {

/// Two sequences that run in the same order, with elements of either missing from the other: the
/// log likelihoods of what may be done with each element. n and m are the lengths.
struct AlignmentProblem {
  Eigen::MatrixXd pair;  ///< n x m: element i of the first with element j of the second
  /// n x m: what is added to a pair (i, j) that comes straight after the pair (i - 1, j - 1); the
  /// first row and column are not used.
  Eigen::MatrixXd follow;
  /// n x (m + 1): element i of the first has no partner, after j elements of the second.
  Eigen::MatrixXd skip_first;
  Eigen::VectorXd skip_second;  ///< m: element j of the second has no partner
};

/// Sum over all alignments, by the forward and backward recursions of a pair hidden Markov model
/// [Durbin1998, ch. 4], in time and memory proportional to the product of the lengths. Elements
/// without partner between the same two pairs count once: those of the first, then of the second.
struct AlignmentSum {
  double log_likelihood = 0;  ///< of all alignments together
  Eigen::MatrixXd posterior;  ///< n x m: probability that i and j are a pair
};
AlignmentSum sum_alignments(const AlignmentProblem& problem);

/// The partner of each element of the first, order kept, so that the expected number of elements
/// of the first that are dealt with rightly is greatest. posterior: n x m, probabilities of pairs,
/// each row summing to at most 1; what is missing to 1 is the probability of no partner.
std::vector<std::optional<std::size_t>> best_alignment(const Eigen::MatrixXd& posterior);

}  // namespace basefog
