// SPDX-License-Identifier: GPL-3.0-or-later
#pragma once

#include <nlohmann/json.hpp>

#include "desk/sheet.hpp"

namespace basefog::desk {

/// The parts of a sheet that are said alike on disk and to the page: facts, columns, rows.
nlohmann::json rows_json(const Sheet& sheet);
/// Throws nlohmann::json::exception where the value is not so.
Sheet sheet_of_rows(const nlohmann::json& json);

}  // namespace basefog::desk
