// SPDX-License-Identifier: GPL-3.0-or-later
#pragma once

#include <array>
#include <vector>

#include "film/film_tones.hpp"

namespace basefog {

enum class SideKind : std::uint8_t {
  rebate,   ///< a straight edge against clear film
  mask,     ///< a straight edge against the holder's mask or bare light
  border,   ///< the picture runs out of the scan
  derived,  ///< unseen; from the other sides and the format
};

/// One side of a frame in the frame's own turned coordinates, in cells of the tones.
struct FrameSide {
  SideKind kind = SideKind::border;
  double position = 0;
  double evidence = 0;  ///< share of the side's length along which the edge was seen, 0 to 1
};

/// A frame found on the tones. Coordinates u = x cos a - y sin a, v = x sin a + y cos a, with
/// a counter-clockwise as seen and cell (0, 0) covering [0,1) x [0,1).
struct FoundFrame {
  double angle_degrees = 0;
  FrameSide left, right, top, bottom;
};

/// A rectangle of cells, [x0, x1) x [y0, y1).
struct BlockWindow {
  int x0, y0, x1, y1;
};

/// The one frame in a window of the scan. Sides that nothing shows are derived from the others and
/// the known formats; a frame is never drawn smaller than its visible content.
FoundFrame find_frame(const FilmTones& tones, const BlockWindow& window);

}  // namespace basefog
