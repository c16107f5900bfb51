// SPDX-License-Identifier: GPL-3.0-or-later
#pragma once

#include <Eigen/Dense>
#include <cstddef>
#include <optional>
#include <vector>

namespace basefog {

/// Two sequences that run in the same order, with elements of either missing from the other: the
/// log likelihoods of what may be done with each element.
struct AlignmentProblem {
  Eigen::MatrixXd pair;        ///< element i of the first with element j of the second
  Eigen::VectorXd skip_first;  ///< element i of the first has no partner
  Eigen::VectorXd skip_second;
};

/// Sum over all alignments, by the forward and backward recursions of a pair hidden Markov model
/// [Durbin1998, ch. 4], in time and memory proportional to the product of the lengths.
struct AlignmentSum {
  double log_likelihood = 0;  ///< of all alignments together
  Eigen::MatrixXd posterior;  ///< probability that i and j are a pair
};
AlignmentSum sum_alignments(const AlignmentProblem& problem);

/// The partner of each element of the first, chosen so that the sum of the pairs' scores is
/// greatest, order kept; none where leaving it alone scores more. scores: probabilities of pairs;
/// a pair counts by how much it exceeds `least`.
std::vector<std::optional<std::size_t>> best_alignment(const Eigen::MatrixXd& scores, double least);

}  // namespace basefog
