// SPDX-License-Identifier: GPL-3.0-or-later
#pragma once

#include <array>

#include "core/file_keys.hpp"

namespace basefog::response {

/// All keys of a response file. Of a channel only the curve makes the response; the others are what
/// a calibration found, for people to read.
inline constexpr auto kResponseFileKeys = std::to_array<FileKey>({
    {"", "schema", "\"basefog.response/1\"", "", "Kind and version of the file. Must be there"},
    {"", "source", "\"TEXT\"", "", "Where it comes from"},
    {"", "full_scale", "65535", "65535", "The largest code"},
    {"", "relative_sigma", "0.02", "0.02", "Uncertainty of a difference of density, as a share"},
    {"", "densest", "3.05", "the last point", "Densest step that can be trusted"},
    {"channel", "curve", "[[60000, 0.05], [30400, 0.35], ...]", "",
     "Codes and their densities, at least two, in any order. Must be there"},
    {"channel", "black", "35.2", "", "Of code = black + scale * (10^-D + flare)^exponent"},
    {"channel", "scale", "64120", "", "Likewise"},
    {"channel", "exponent", "0.4545", "", "Likewise"},
    {"channel", "flare", "0.0004", "", "Likewise"},
    {"channel", "residual_rms", "0.006", "", "Densities read back less the known ones, rms"},
    {"channel", "residual_worst", "0.014", "", "The largest of them"},
    {"channel", "lightest", "0.05", "", "Density of the lightest step that was used"},
    {"channel", "densest_usable", "2.9", "", "Density of the densest step that can be trusted"},
    {"channel", "steps", "[[60112, 0.05, 0.002], ...]", "",
     "Each step's code, density, and density read back less that"},
});

}  // namespace basefog::response
