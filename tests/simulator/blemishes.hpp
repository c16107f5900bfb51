// SPDX-License-Identifier: GPL-3.0-or-later
#pragma once

#include <cstdint>

#include "simulator/layout.hpp"

namespace simulator {

/// Specks of dust, 20 to 120 micrometres across, and a hair for every 50 of them.
void add_dust(Negative& negative, double specks_per_square_cm, std::uint64_t seed);

/// Scratches along the film, which runs at angle_degrees: a tenth of a density lighter where the
/// emulsion is gone, a tenth darker where the back is scored.
void add_scratches(Negative& negative, int count, std::uint64_t seed, double angle_degrees = 0);

/// Finger marks: smooth patches, a few mm across, `density` darker.
void add_finger_marks(Negative& negative, int count, std::uint64_t seed, double density = 0.05);

}  // namespace simulator
