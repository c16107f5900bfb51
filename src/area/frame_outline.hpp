// SPDX-License-Identifier: GPL-3.0-or-later
#pragma once

#include <array>
#include <span>

#include "area/film_tones.hpp"
#include "area/frame_edges.hpp"
#include "basefog/area/film_format.hpp"

namespace basefog::area {

enum class SideKind : std::uint8_t {
  rebate,   ///< a straight edge against clear film
  mask,     ///< a straight edge against the holder's mask or bare light
  border,   ///< the picture runs out of the scan
  faint,    ///< a faint straight step against clear film
  derived,  ///< unseen; from the other sides and the format
};

/// One side of a frame in the frame's own turned coordinates, in cells.
struct FrameSide {
  SideKind kind = SideKind::border;
  double position = 0;
  double evidence = 0;  ///< share of the side's length along which the edge was seen, 0 to 1
};

/// A frame found on the tones, in the coordinates of Turn.
struct FrameOutline {
  double angle_degrees = 0;
  std::array<FrameSide, 4> sides;  ///< by Side
  bool cut = false;                ///< by the film's end or the scan's
  FrameSide& side(Side s) { return sides[s]; }
  const FrameSide& side(Side s) const { return sides[s]; }
};

/// The one frame in a window of the scan. Sides that nothing shows are derived from the others and
/// the formats (empty: all known); a frame is never drawn smaller than its visible content.
FrameOutline find_frame(const FilmTones& tones, const CellWindow& window,
                        std::span<const FilmFormat> formats = {});

}  // namespace basefog::area
