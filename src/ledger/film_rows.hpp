// SPDX-License-Identifier: GPL-3.0-or-later
// What rolls say of their film, and their frames, in the ledger's tables.
#pragma once

#include <cstdint>
#include <vector>

#include "basefog/memory/kept_roll.hpp"
#include "ledger/database.hpp"

namespace basefog::ledger {

/// Of a roll that is in the ledger already.
void write_film(Database& database, std::int64_t roll, const memory::KeptFilm& film);

/// Of all rolls, by date, then by name. Throws InputError (malformed) for what cannot be.
std::vector<memory::FilmLesson> read_lessons(const Database& database);

/// What else is kept of the roll that a lesson is of.
memory::KeptFilm read_film(const Database& database, std::int64_t roll,
                           const memory::FilmLesson& lesson);

}  // namespace basefog::ledger
