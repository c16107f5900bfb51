// SPDX-License-Identifier: GPL-3.0-or-later
#pragma once

#include "ledger/database.hpp"

namespace basefog::ledger {

/// Brings a ledger, new or from an earlier basefog, to the present form, in one transaction. Throws
/// InputError (malformed) for a database that is no ledger or a later basefog's.
void bring_up_to_date(Database& database);

/// Number of the present form.
int ledger_schema_version();

}  // namespace basefog::ledger
