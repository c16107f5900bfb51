// SPDX-License-Identifier: GPL-3.0-or-later
#pragma once

#include <array>
#include <cstdint>
#include <vector>

#include "basefog/area/layout_hint.hpp"
#include "basefog/area/stray_light.hpp"
#include "basefog/core/quality.hpp"
#include "basefog/scan/scan.hpp"

namespace basefog::area {

/// A rectangle on a scan, in upright scan pixels; (0, 0) is the outer corner of the first pixel.
/// Turned about its centre by angle_degrees, counter-clockwise as seen, |angle| <= 45.
struct FrameRegion {
  double centre_x = 0;       ///< pixels
  double centre_y = 0;       ///< pixels
  double width = 0;          ///< pixels, before turning
  double height = 0;         ///< pixels, before turning
  double angle_degrees = 0;  ///< 0: as the scan's sides
};

/// What each block of a scan shows.
enum class AreaKind : std::uint8_t {
  picture,     ///< exposed film, or what else is no film, light or mask
  clear_film,  ///< base + fog alone
  bare_light,  ///< the scanner's light with no film before it
  mask,        ///< the holder, which lets no light through
};

/// Slow change of the scanner's light over a scan, as density against its centre: a surface of
/// second order. Even where nothing shows it.
struct LightFallOff {
  double width = 1;   ///< of the scan, pixels
  double height = 1;  ///< of the scan, pixels
  /// Of x, y, x^2, x y, y^2, with x and y from -1 to 1 over the scan.
  std::array<double, 5> coefficient{};

  double at(double x, double y) const;  ///< density at a place in pixels
};

/// Frames on one strip of film, one after another in FilmLayout::frames.
struct FilmStrip {
  std::size_t first = 0;   ///< index of its first frame
  std::size_t frames = 0;  ///< how many
};

/// Where the film is on a scan: its frames in film order, and the kind of each block.
struct FilmLayout {
  std::vector<FrameRegion> frames;  ///< in film order
  std::vector<FilmStrip> strips;    ///< in film order; together all frames
  /// What is to be said of one frame: that it is cut, or of another size than the rest.
  std::vector<FlagSet> frame_flags;
  /// Where pictures lie on film and no frame was found.
  std::vector<FrameRegion> frameless;
  /// True where a frame's edges were seen; false where the whole scan, or what the holder's mask
  /// leaves open of it, was taken as picture.
  bool edges_found = false;
  std::vector<AreaKind> kind;  ///< one per block, index y * blocks.width + x
  /// From clear film and bare light around the frames; already taken off where densities are
  /// measured.
  LightFallOff fall_off;
  StrayLight stray;  ///< likewise
  FlagSet flags;     ///< of the scan as a whole
};

/// True where a place on the scan, in pixels, lies on a region or its edge.
bool contains(const FrameRegion& region, double x, double y);

/// Finds the frames of a scan. Never throws on a readable scan; with no edges in view the one frame
/// is the whole scan, or what the holder's mask leaves open of it. What the hint says is not
/// searched for: a format it names is the only one tried, a strip of so many frames has so many,
/// placed by their pitch where nothing shows them.
FilmLayout find_film(const scan::Scan& scan, const LayoutHint& hint = {});

}  // namespace basefog::area
