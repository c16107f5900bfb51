// SPDX-License-Identifier: GPL-3.0-or-later
// Whether a log is of the roll that it was given with.
#pragma once

#include <span>
#include <vector>

#include "basefog/matching/matching.hpp"
#include "matching/match_evidence.hpp"
#include "matching/match_hypothesis.hpp"

namespace basefog::matching {

/// Holds the log in its places against the same log moved along the roll. `best` is the hypothesis
/// that the matching found, `evidence` of the log as it stands, learned or not. order_odds: of the
/// order of scans in `best` against the likeliest, before anything was compared; what an order
/// gained by being picked is taken off.
///
/// Formula. T(k) is the log likelihood of all alignments under `best` with the contents of the rows
/// moved on by k, what leaves at the end coming in at the beginning; numbers stay. Nothing is
/// learned from pairs, or the log in its places would have an advantage. Then gain = T(0) + ln
/// order_odds less the mean of T(k), and spread = their standard deviation, over half of kMoved to
/// kMoved shifts k that are not neighbours of 0. A log that is another roll's is one more moved
/// log. Runs of alike frames and rows stay together when a log is moved, so that they are no
/// evidence.
///
/// Thresholds are judgement, set on matching_study's rolls (seeds below 100) and measured on others
/// (STUDIES.md). Costs kMoved alignments, forward alone.
WholeLogTest test_whole_log(std::span<const MatchFrame> frames,
                            const std::vector<log::LogRow>& rows, const MatchEvidence& evidence,
                            const Hypothesis& best, double order_odds, const Matching& matching);

}  // namespace basefog::matching
