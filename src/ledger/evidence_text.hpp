// SPDX-License-Identifier: GPL-3.0-or-later
// What a roll says of its film as texts in the ledger: numbers that read back to the last bit.
#pragma once

#include <string>

#include "basefog/film/film_belief.hpp"

namespace basefog::ledger {

/// The upper triangle, row by row.
std::string triangle_text(const film::FilmMatrix& matrix);
std::string numbers_text(const film::FilmNumbers& numbers);

/// Reads both back; false for what is no evidence (film::is_evidence).
bool read_evidence(const std::string& triangle, const std::string& numbers,
                   film::FilmEvidence& evidence);

}  // namespace basefog::ledger
