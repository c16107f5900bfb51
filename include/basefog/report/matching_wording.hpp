// SPDX-License-Identifier: GPL-3.0-or-later
// How frames and rows were paired, in sentences.
#pragma once

#include <string>
#include <vector>

#include "basefog/matching/matching.hpp"

namespace basefog::report {

/// How the scans lie on the film, in a sentence; empty for as given.
std::string way_text(matching::ScanWay way, std::size_t strip);

/// What speaks for the log being this roll's, or against it, in a line.
std::string log_test_text(const matching::WholeLogTest& test);

/// What a reader has to know of a matching beside its pairs: how the scans lie on the film where
/// that is not as given, what the numbers are off by, scans of one frame, how many are doubtful.
std::vector<std::string> matching_texts(const matching::Matching& matching);

}  // namespace basefog::report
