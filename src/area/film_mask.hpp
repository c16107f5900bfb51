// SPDX-License-Identifier: GPL-3.0-or-later
#pragma once

#include "area/film_tones.hpp"

namespace basefog::area {

/// Marks the holder's opaque mask: near black, plain, joined to the scan's border, with the flare
/// along its edge and one block of its blurred edge. Sets tones.kind.
void mark_mask(FilmTones& tones);

}  // namespace basefog::area
