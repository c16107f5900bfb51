// SPDX-License-Identifier: GPL-3.0-or-later
#pragma once

#include <ostream>
#include <span>

#include "basefog/report/report.hpp"
#include "basefog/roll/bias_history.hpp"

namespace basefog::report {

/// What all rolls of a camera say of its meter, as sentences for the terminal. A pure function.
void write_bias_table(std::ostream& out, const roll::BiasHistory& history,
                      const TerminalStyle& style = {});

/// The same for machines, one object a camera: schema "basefog.bias/1", names as in
/// "meter", "techniques" and "advice" of a review.
void write_bias_json(std::ostream& out, std::span<const roll::BiasHistory> cameras);

/// Rolls in the ledger, one a line.
void write_ledger_table(std::ostream& out, std::span<const roll::RememberedRoll> rolls,
                        const TerminalStyle& style = {});

}  // namespace basefog::report
