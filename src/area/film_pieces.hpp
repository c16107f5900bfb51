// SPDX-License-Identifier: GPL-3.0-or-later
#pragma once

#include <vector>

#include "area/film_tones.hpp"

namespace basefog::area {

/// One piece of film on a scan: the tones of its upright bounding box, all that is not of this
/// piece being bare light.
struct FilmPiece {
  int x0 = 0;  ///< of the box on the scan, cells
  int y0 = 0;
  FilmTones tones;
  double area = 0;    ///< of the film within its outline, cells
  double length = 0;  ///< of its least rectangle, the longer side, cells
  double width = 0;   ///< the shorter
};

/// The pieces of film on a scan, in reading order: those that lie apart, with bare light or mask
/// between them. Scraps below a twelfth of the largest are left out.
std::vector<FilmPiece> find_pieces(const FilmTones& tones);

/// Share of their least rectangles that pieces fill, all together: film is cut straight, what a
/// picture shows is ragged. 1 for no piece.
double straightness(const std::vector<FilmPiece>& pieces);

/// The same with x and y exchanged.
FilmTones transposed(const FilmTones& tones);

}  // namespace basefog::area
