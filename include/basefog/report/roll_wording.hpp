// SPDX-License-Identifier: GPL-3.0-or-later
#pragma once

#include <string>
#include <vector>

#include "basefog/meter/meter_bias.hpp"
#include "basefog/meter/technique.hpp"
#include "basefog/roll/analysis.hpp"
#include "basefog/roll/roll_development.hpp"

// What a roll shows, in sentences of plain UTF-8 that is not yet escaped. The only place where they
// are made: results hold facts.
namespace basefog::report {

/// One to three sentences: which it looks like and how sure that is, or that the roll does not
/// decide it.
std::string development_text(const roll::RollDevelopment& roll);

/// What to do about a roll that looks wrongly developed, by who develops; empty where it does not.
std::string development_step(const roll::RollDevelopment& roll);

/// "Previous roll (roll2, 2026-03-01): -0.4 (-0.9 to 0.0) over 20 frames; frames off by 0.6 rms,
/// 0.5 on this one."; empty where no ledger has one.
std::string previous_roll_text(const roll::Analysis& analysis);

/// A sentence for each.
std::string not_identifiable_text(const meter::NotIdentifiable& open);
std::vector<std::string> not_identifiable_texts(const meter::MeterBias& meter);  ///< of all

/// "backlit: +1 1/3 (+0.8 to +1.9), 5 frames".
std::string technique_text(const meter::SceneTechnique& technique);

}  // namespace basefog::report
