// SPDX-License-Identifier: GPL-3.0-or-later
#pragma once

#include <optional>
#include <span>

namespace basefog::tablet {

/// A row of `steps` equal cells along a profile, in samples: cell k covers start + k * pitch to
/// start + (k + 1) * pitch.
struct TabletLattice {
  double start = 0;
  double pitch = 0;
  /// Squared fall of level over the cells against the variance within them; higher is surer.
  double score = 0;
  /// Median fall of level from cell to cell.
  double step = 0;
};

/// Where to look: all places and pitches, or near a lattice that is known roughly.
struct LatticeSearch {
  int steps = 21;
  double least_pitch = 4;     ///< samples
  double most_pitch = 1e9;    ///< samples
  double least_start = -1e9;  ///< samples
  double most_start = 1e9;    ///< samples
  double fineness = 1;        ///< 1 for a first look; 4 tries four times as many of each
};

/// The staircase of equal steps that falls from left to right through a profile of levels (log10 of
/// code), if there is one. The first 60 % of the steps must be clear of noise, but for clipped
/// ones. One of its ends must be known: the profile rises into the first cell or out of the last,
/// or ends there; otherwise the first step cannot be identified.
std::optional<TabletLattice> find_lattice(std::span<const double> levels,
                                          const LatticeSearch& search);

}  // namespace basefog::tablet
