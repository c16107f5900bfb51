// SPDX-License-Identifier: GPL-3.0-or-later
// The alignment problem of one hypothesis.
#pragma once

#include <Eigen/Core>
#include <span>
#include <vector>

#include "matching/match_evidence.hpp"
#include "matching/match_hypothesis.hpp"
#include "numeric/alignment.hpp"

namespace basefog::matching {

/// Log likelihoods of elements without partner, as `AlignmentProblem` has them.
struct Skips {
  Eigen::MatrixXd first;
  Eigen::VectorXd second;
};

/// What an alignment may do with the places of frames and rows, as log likelihoods. A place holds a
/// frame or a row, or, where a gap in the numbers shows it, nothing.
///
///   frame with row         the evidence of the pair (match_evidence.hpp)
///   frame with empty place exposure as of any frame, 1/2 for picture or blank; 1/5 for a
///   beginning,
///                          but where both sides are numbered
///   row with empty place   1
///   frame skipped          chance that a row is missing, more at the ends of the film and for a
///                          second scan (skipped_frame)
///   row skipped            chance that a scan is missing; 0.4 where the row says that it has no
///                          picture or was the second exposure of a frame
///   empty place skipped    twice the chance that the other side is missing; 1/2 before the first
///                          row
///                          of a log whose files have no numbers
class PairingModel {
 public:
  /// Takes the evidence as it stands; all three must outlive the model.
  PairingModel(std::span<const MatchFrame> frames, const std::vector<log::LogRow>& rows,
               const MatchEvidence& evidence);

  numeric::AlignmentProblem problem_for(const Hypothesis& hypothesis) const;
  /// What is skipped, by how often the hypothesis's film length has frames and rows missing: all
  /// in which the problems of one family differ.
  Skips skips_of(const Hypothesis& hypothesis) const;

 private:
  double paired(const Hypothesis& hypothesis, Eigen::Index i, Eigen::Index j) const;
  Eigen::MatrixXd followed(const Hypothesis& hypothesis, int a, int b) const;
  double skipped_row(const Numbering& numbering, Eigen::Index j, const Losses& losses) const;
  double skipped_frame(const std::vector<std::size_t>& order, std::size_t place, bool leading,
                       bool trailing, double loss) const;

  std::span<const MatchFrame> frames_;
  const std::vector<log::LogRow>& rows_;
  const MatchEvidence& evidence_;
  Eigen::MatrixXd pair_;  ///< frames as given x rows: evidence of each pair
};

}  // namespace basefog::matching
