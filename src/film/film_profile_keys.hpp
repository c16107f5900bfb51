// SPDX-License-Identifier: GPL-3.0-or-later
#pragma once

#include <array>

#include "core/file_keys.hpp"

namespace basefog::film {

/// ISO speeds that a profile may have: copying films have 1 and less, the fastest some thousands; a
/// hundred times beyond either is a slip of the pen (judgement).
inline constexpr double kLeastSpeed = 0.1;
inline constexpr double kMostSpeed = 1e6;

/// All keys of a film profile.
inline constexpr auto kFilmProfileKeys = std::to_array<FileKey>({
    {"", "name", "\"grey card, 9 min\"", "the file's name", "What the film is called"},
    {"", "kind", "\"bw\"", "\"bw\"", "Kind of film: a word that --film takes"},
    {"", "speed", "400", "", "ISO speed. Must be there"},
    {"", "speed_measured", "false", "false",
     "true where the speed was found apart from the camera's own meter"},
    {"", "speed_uncertainty", "0.1", "0.1", "Stops, one sigma"},
    {"", "contrast_source", "\"film test\"", "\"profile\"",
     "Where the contrast comes from: \"film test\", \"series on the roll\", "
     "\"remembered rolls\", \"generic\" or \"profile\""},
    {"", "contrast_uncertainty", "0.02", "0.05", "Share of the contrast, one sigma"},
    {"", "shoulder_uncertainty", "1.0", "1.0",
     "Stops by which the shoulder may lie elsewhere, one sigma"},
    {"", "upper_gradient_uncertainty", "0.03", "half of contrast_uncertainty",
     "Share of the gradient from 1.30 log H above the speed point up, one sigma"},
    {"", "toe_uncertainty", "0.15", "0.15", "Stops a stop below the speed point, one sigma"},
    {"", "layer_gradient_uncertainty", "0.01", "0.01; 0.05 where generic",
     "Of colour film: share of the red and blue layers' gradients against the green one's, one "
     "sigma"},
    {"", "layer_place_uncertainty", "0.05", "0.05; 0.15 where generic",
     "The same of their places on the axis, stops"},
    {"", "measured_through", "\"TEXT\"", "",
     "The response of the scans that the curve was measured from; its error then cancels for scans "
     "read through the same"},
    {"", "measured_on", "\"roll 12\"", "",
     "The roll that a film test was shot on; on others contrast counts as less sure by what "
     "developments differ by"},
    {"", "notes", "\"TEXT\"", "", "For people to read"},
    {"reciprocity", "exponent", "1.31", "the built-in film's without [reciprocity], else 1",
     "Corrected time = metered time ^ exponent above 1 s; 1 to 3"},
    {"reciprocity", "table", "[[1, 1], [10, 15]]", "",
     "In place of the exponent: metered and corrected seconds"},
    {"reciprocity", "uncertainty", "0.5", "0.5", "Share of the loss, one sigma"},
    {"layer", "name", "\"silver\"", "\"silver\"",
     "Of colour film \"red\", \"green\", \"blue\" in this order"},
    {"layer", "points", "[[-1.0, 0.04], [0.0, 0.10], ...]", "",
     "The curve: stops above the speed point, net density"},
    {"layer", "points_log_h", "[[-3.4, 0.22], [-3.3, 0.23], ...]", "",
     "Or as on a data sheet: log10 of lux seconds, density"},
    {"layer", "points_relative_log_h", "[[0.0, 0.22], [0.1, 0.23], ...]", "",
     "Or with log H from a zero of the sheet's own: the speed point is laid where the curve has "
     "it"},
    {"layer", "base_density", "0.22", "the least of them", "Base + fog in points of log H"},
    {"layer", "speed_density", "0.10", "0.10; 0.15 of colour film",
     "Or a usual form in place of points: net density at the speed point"},
    {"layer", "rise_over_1_30", "0.80", "0.80", "Rise of density over the 1.30 log H above it"},
    {"layer", "toe_width", "0.20", "0.20",
     "Log H over which the gradient grows e-fold at the foot of the toe"},
    {"layer", "shoulder", "9.0", "9.0",
     "Where the gradient has fallen to half, stops above the speed point"},
    {"layer", "shoulder_width", "0.40", "0.40",
     "Log H over which the gradient falls e-fold beyond"},
    {"layer", "threshold", "0.0", "0.0",
     "Where this layer reaches speed_density, stops from the film's speed point"},
});

}  // namespace basefog::film
