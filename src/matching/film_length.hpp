// SPDX-License-Identifier: GPL-3.0-or-later
// How many pictures a roll may hold, and so how many rows and scans are missing.
#pragma once

#include <vector>

namespace basefog::matching {

/// One length that the film may have.
struct FilmLength {
  int pictures = 0;       ///< that were taken, scanned or not, written down or not
  int rows_missing = 0;   ///< pictures that the log leaves out
  int scans_missing = 0;  ///< pictures that were not scanned
  double prior = 0;
};

/// The lengths that `scans` pictures and `rows` rows leave open, likeliest first, priors summing to
/// 1: films are sold in a few lengths and mostly used to their end, logs and scans miss a few. A
/// loss that the numbers of rows or scans show by a gap counts as a row or a scan.
std::vector<FilmLength> possible_lengths(int scans, int rows);

/// How often so many rows and scans are missing of a film, as shares of one: most rolls are
/// written down and scanned whole, the others lose each side by itself.
double share_of_losses(int rows_missing, int scans_missing);

}  // namespace basefog::matching
