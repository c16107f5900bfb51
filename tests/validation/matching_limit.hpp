// SPDX-License-Identifier: GPL-3.0-or-later
// How many frames the best of all methods could give their row on a simulated roll.
#pragma once

#include <optional>
#include <vector>

#include "validation/simulated_log.hpp"

namespace study {

/// What is told to the best method beyond scans and log.
enum class Told {
  scenes,            ///< which frames are of one scene, and all that is hidden but places
  scenes_and_places  ///< and the kind of place that each frame was taken in, as if it saw the
                     ///< picture
};

/// Rows by the roll's own odds: the simulation's distributions written out as likelihoods, with the
/// photographer's habits, the meter's and each speed's error, the direction, which frames are
/// blank, and how many rows and scans are missing all known. Files without numbers; the log
/// without, or with those of the counter.
/// What no method that reads scans and log alone can beat but by chance (normal distributions stand
/// in for sums of uniform and normal ones).
std::vector<std::optional<std::size_t>> match_with_hidden_truth(const SimulatedRoll& roll,
                                                                Told told);

}  // namespace study
