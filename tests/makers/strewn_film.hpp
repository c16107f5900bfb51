// SPDX-License-Identifier: GPL-3.0-or-later
#pragma once

#include <array>
#include <functional>
#include <vector>

#include "basefog/scan/scan.hpp"

namespace basefog::strewn {

// Film as hands put it on the glass of a scanner: strips that touch, overlap, bend or are cut
// through a frame, in sleeves and mounts, beside fingers and rulers. Lengths in mm, drawn from the
// light through all that lies on a place; nothing here comes from the finder.

struct Point {
  double x = 0;
  double y = 0;
};

/// Density of the picture above base + fog at a place of the frame, both 0 to 1 from the corner
/// that lies up and left as the film runs from left to right.
using Picture = std::function<double(double, double)>;

/// How a kind of film and camera makes its strips.
struct Stock {
  double film_width = 35;
  double along = 36;   ///< of the picture
  double across = 24;  ///< of the picture
  double pitch = 38;   ///< from frame to frame
  bool perforated = true;
};

struct Shot {
  Picture picture;
  double slip = 0;  ///< along, from where the pitch puts it
  /// Whether anything shows that a frame is there: not on a frame that is clear or dark all over.
  bool plain = false;
};

/// A strip of film, or a mounted frame.
struct Piece {
  Stock stock;
  Point centre;
  double angle_degrees = 0;  ///< counter-clockwise as seen
  double bow = 0;            ///< how far the middle lies beyond the line through both ends
  double length = 0;         ///< of the film
  double lead = 2;           ///< from the film's left end to the first frame; negative: cut through
  double mount = 0;          ///< side of an opaque square around the one frame; 0: none
  std::vector<Shot> shots;
};

/// An even bar across the glass: a seam of a sleeve, a streak of light on it, a ruler.
struct Bar {
  Point from;
  Point to;
  double width = 1;
  double density = 0.3;  ///< negative where it throws light in
  double tick = 0;       ///< distance of marks of density 1 on it; 0: none
};

/// A finger that holds something: an opaque ellipse.
struct Finger {
  Point centre;
  Point half;
};

struct Glass {
  double width = 216;
  double height = 150;
  double mm_per_block = 0.4;
  double light = 0.9;              ///< of the lamp, against full scale
  std::vector<double> base{0.3};   ///< density of clear film, one a channel
  std::vector<double> gamma{1.0};  ///< of the picture's density, one a channel
  double sleeve = 0;               ///< density of a clear sleeve that covers all but the border
  double sleeve_border = 8;        ///< mm of glass left bare around it
  double frame = 0;                ///< width of an opaque frame around the glass
  double grain = 0.006;            ///< standard deviation of a block's density
  double fall_off = 0;             ///< density added in the corners
  std::vector<Piece> pieces;
  std::vector<Bar> bars;
  std::vector<Finger> fingers;
  unsigned seed = 1;
};

/// A place along and across a piece, from its film's upper left corner, as a point on the glass.
Point on_glass(const Piece& piece, double u, double v);

/// The scan, as the program would hold it after reading.
scan::Scan draw(const Glass& glass);

/// A frame that was drawn.
struct DrawnFrame {
  std::size_t piece = 0;
  std::size_t shot = 0;
  std::array<Point, 4> corners;  ///< in scan pixels, in turn around it
  bool whole = true;             ///< wholly on the film and on the glass, nothing over it
  bool plain = false;
};
std::vector<DrawnFrame> frames_of(const Glass& glass);

/// Pixels of a scan in a mm.
double pixels_per_mm(const Glass& glass);

/// A picture with edges, shades and something dark or clear; the same for a seed.
Picture any_picture(unsigned seed);
Picture even_picture(double density);
/// Two halves with one strong upright edge between them.
Picture split_picture(double left, double right);
/// Night: clear film but for some lamps and a lit wall.
Picture dark_picture(unsigned seed);

}  // namespace basefog::strewn
