// SPDX-License-Identifier: GPL-3.0-or-later
#pragma once

#include "desk/server.hpp"
#include "desk/shelf.hpp"

namespace basefog::desk {

/// Answers a call from a fixed table of places: the page's files, which are in the program, and the
/// rolls of the shelf by their numbers from 1. Nothing of a call names a file.
Answer answer(const Call& call, Shelf& shelf);

}  // namespace basefog::desk
