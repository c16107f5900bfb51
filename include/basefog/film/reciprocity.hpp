// SPDX-License-Identifier: GPL-3.0-or-later
#pragma once

#include <vector>

#include "basefog/core/film_facts.hpp"
#include "basefog/core/settings.hpp"

namespace basefog::film {

/// A pair of times that give the film the same density: what the meter asked for, and what it takes
/// with the film's failure of reciprocity.
struct ReciprocityPoint {
  double metered_seconds;    ///< > 0
  double corrected_seconds;  ///< not below metered_seconds
};

/// How a film loses speed at long times.
struct Reciprocity {
  /// Corrected time = metered time ^ exponent above 1 s; 1 where none is needed, 1.25 to 1.45 on
  /// makers' sheets [MakerReciprocity].
  double exponent = 1.0;
  /// Takes the exponent's place where not empty; rising in both times. Log-log between its points,
  /// its last slope beyond. Best begun with the longest time that needs no correction; without it
  /// that is taken to be 1 s, or half the table's first time where that is less.
  std::vector<ReciprocityPoint> table;
  /// Standard deviation of the loss as a share of the loss.
  double relative_sigma = film_facts::kReciprocitySigma;
};

/// The time that gives the film what the meter asked for: metered time lengthened by the film's
/// failure of reciprocity. No change up to 1 s; of a table, up to its longest uncorrected time (see
/// Reciprocity::table).
ShutterTime corrected_time(const Reciprocity& film, ShutterTime metered);

/// Light lost to failure of reciprocity at a time, and how unsure that is.
struct ReciprocityLoss {
  Stops loss;   ///< >= 0
  Stops sigma;  ///< standard deviation, shared by all frames of the film
};

/// Loss at the time that the shutter was open: log2 of it over the time that would have done on a
/// film without failure. Published exponents are for metered times, so a time t loses
/// (1 - 1/exponent) log2 t, Schwarzschild's law with p = 1/exponent [Schwarzschild].
ReciprocityLoss reciprocity_loss(const Reciprocity& film, ShutterTime used);

}  // namespace basefog::film
