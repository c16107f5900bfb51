// SPDX-License-Identifier: GPL-3.0-or-later
#pragma once

#include <span>
#include <string>

#include "desk/shelf.hpp"

namespace basefog::desk {

/// The page of a roll, empty: its script fills it. Head, foot, style and parts are the report's.
std::string roll_page();

/// The rolls of a shelf, with a link to each.
std::string shelf_page(std::span<const ShelfRoll> rolls);

}  // namespace basefog::desk
