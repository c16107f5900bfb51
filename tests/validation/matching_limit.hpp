// SPDX-License-Identifier: GPL-3.0-or-later
// How many frames the best of all methods could give their row on a simulated roll.
#pragma once

#include <optional>
#include <vector>

#include "validation/simulated_log.hpp"

namespace study {

/// What is told to the best method beyond scans and log: the simulation's habits, the meter's and
/// each speed's error, which frames are blank, that the film holds 36, and
enum class Told {
  habits,            ///< nothing else: direction and scenes it must see for itself
  scenes,            ///< the direction, and which frames are of one scene
  scenes_and_places  ///< and the kind of place that each frame was taken in, as if it saw the
                     ///< picture
};

/// Rows by the roll's own odds: the simulation's distributions written out as likelihoods (normal
/// ones stand in for sums of uniform and normal ones). Files without numbers; the log without, or
/// with those of the counter.
///
/// Told scenes, it is what no method that reads scans and log alone can beat but by chance. Told
/// habits alone, it sees what any method sees: a scene by how alike neighbours look, at the odds
/// that so alike a pair is of one scene on rolls simulated for it, and the direction by the sum
/// over both. It weighs neighbours two by two, so that a method may come out a little above it.
std::vector<std::optional<std::size_t>> match_with_hidden_truth(const SimulatedRoll& roll,
                                                                Told told);

}  // namespace study
