// SPDX-License-Identifier: GPL-3.0-or-later
#pragma once

#include <ostream>

#include "basefog/log/log.hpp"
#include "basefog/report/report.hpp"

namespace basefog::report {

/// How each row of a log was understood, as a table for the terminal: the columns as read, then
/// every row, then every remark with its line and column. A pure function of the log.
void write_log_table(std::ostream& out, const log::ShotLog& log, const TerminalStyle& style = {});

/// The same for machines: schema "basefog.log/1".
void write_log_json(std::ostream& out, const log::ShotLog& log);

}  // namespace basefog::report
