// SPDX-License-Identifier: GPL-3.0-or-later
#pragma once

#include <optional>

#include "basefog/density/density.hpp"

namespace basefog::evidence {

/// How far the channels of a frame that three channels read differ from one place to another where
/// the film is equally dense, net density. In silver, and in dyes that only come together, each
/// channel's density follows from the others', whatever its tone, so this is next to nothing; hues
/// of a picture on colour film make it some hundredths and more. Half the span of the middle four
/// fifths of the places; empty for other than three channels or too few places with a picture.
std::optional<double> hue_spread(const density::FrameMeasurement& frame,
                                 const density::FilmBase& base);

}  // namespace basefog::evidence
