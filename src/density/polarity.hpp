// SPDX-License-Identifier: GPL-3.0-or-later
#pragma once

#include "basefog/scan/scan.hpp"

namespace basefog::density {

/// Whether a scan shows a positive: around a negative's picture lies clear film, the brightest
/// thing on film, around an inverted one the darkest. True only where an even tone that is the
/// darkest of the scan, yet too bright for a holder's mask, runs along at least three sides; a
/// positive cropped to the picture, or one whose surround was set to black, is not known by this.
bool shows_positive(const decode::BlockImage& blocks);

}  // namespace basefog::density
