// SPDX-License-Identifier: GPL-3.0-or-later
#pragma once

#include <optional>
#include <vector>

#include "area/film_tones.hpp"
#include "area/frame_edges.hpp"
#include "area/strip_chain.hpp"

namespace basefog::area {

/// A stretch across a strip, turned cells.
struct Band {
  double top;
  double bottom;
  double height() const { return bottom - top; }
};

/// Where the pictures of one strip lie across the film.
struct PictureBand {
  Band part;                 ///< of the film, that this strip has to itself
  std::optional<Band> band;  ///< from one long edge of the pictures to the other, where seen
  /// How surely pictures lie there as cameras put them on film of this width, 0 to 1; 0 also where
  /// the film's own edges are not in view.
  double seat = 0;
  bool perforated = false;  ///< where seat is above 0: 35 mm film, otherwise roll film
};

/// The bands of the strips on one piece of film, which run along u, from the top down: more than
/// one where strips of one height touch.
std::vector<PictureBand> find_bands(const FilmTones& tones, const FrameEdges& edges,
                                    const Turn& turn, const StripWish& wish);

}  // namespace basefog::area
