// SPDX-License-Identifier: GPL-3.0-or-later
#pragma once

#include <optional>
#include <span>

#include "roll/roll_doubts.hpp"

namespace basefog::roll {

/// How far the channels of a frame that three channels read differ from one place to another where
/// the film is equally dense, net density. In silver, and in dyes that only come together, each
/// channel's density follows from the others', whatever its tone, so this is next to nothing; hues
/// of a picture on colour film make it some hundredths and more. Half the span of the middle four
/// fifths of the places; empty for other than three channels or too few places with a picture.
std::optional<double> hue_spread(const density::FrameMeasurement& frame,
                                 const density::FilmBase& base);

/// Where the film was taken for black-and-white and most of its frames show hues: those frames.
std::optional<RollDoubt> check_hues(std::span<const ReferencedFrame> frames,
                                    const film::FilmProfile& film);

}  // namespace basefog::roll
