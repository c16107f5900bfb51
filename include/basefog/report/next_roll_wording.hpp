// SPDX-License-Identifier: GPL-3.0-or-later
#pragma once

#include <optional>
#include <string>
#include <vector>

#include "basefog/plan/next_roll.hpp"
#include "basefog/report/advice_wording.hpp"

namespace basefog::report {

/// The plan in ordinary words, as AdviceWords are: the dial, then a sentence an allowance; the
/// first carries the evidence. Empty where something must be done before.
std::vector<AdviceWords> plan_words(const plan::NextRoll& plan);

/// What the plan promises, as a sentence; empty where it changes nothing.
std::string promise_text(const plan::NextRoll& plan);

/// "take off 2/3", "add 1 1/3".
std::string add_text(Stops stops);

/// All that is to be done next: the plan, its promise, then advice, each with its evidence.
std::vector<std::string> next_time_sentences(const std::optional<plan::NextRoll>& plan,
                                             const std::vector<roll::Advice>& advice);

}  // namespace basefog::report
