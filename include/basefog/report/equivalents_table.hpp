// SPDX-License-Identifier: GPL-3.0-or-later
#pragma once

#include <ostream>
#include <span>

#include "basefog/log/equivalents.hpp"
#include "basefog/report/report.hpp"

namespace basefog::report {

/// Marked settings that give a wanted exposure, one pair a line: how far off, what it costs. A pure
/// function.
void write_equivalents_table(std::ostream& out, const log::EquivalentQuestion& question,
                             std::span<const log::EquivalentSettings> settings,
                             const TerminalStyle& style = {});

/// The same for machines: schema "basefog.equivalents/1".
void write_equivalents_json(std::ostream& out, const log::EquivalentQuestion& question,
                            std::span<const log::EquivalentSettings> settings);

}  // namespace basefog::report
