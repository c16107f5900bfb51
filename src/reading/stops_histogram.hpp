// SPDX-License-Identifier: GPL-3.0-or-later
#pragma once

#include "basefog/reading/frame_reading.hpp"
#include "reading/film_exposures.hpp"

namespace basefog::reading {

/// Shares of the frame by exposure relative to the aim, which lies at `aim` on the film. Bins are
/// aligned with the aim; what is on clear film or beyond the range stands in the bin of its bound.
StopsHistogram stops_histogram(const FilmExposures& exposures, ExposureAboveSpeedPoint aim);

}  // namespace basefog::reading
