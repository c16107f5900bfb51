// SPDX-License-Identifier: GPL-3.0-or-later
#pragma once

#include <array>
#include <opencv2/core.hpp>
#include <vector>

#include "area/film_tones.hpp"

namespace basefog::area {

/// A rectangle of cells, [x0, x1) x [y0, y1).
struct CellWindow {
  int x0, y0, x1, y1;
  int width() const { return x1 - x0; }
  int height() const { return y1 - y0; }
};

enum Side { kLeft, kRight, kTop, kBottom };
constexpr bool upright(Side side) { return side == kLeft || side == kRight; }

/// Turned coordinates u = x cos a - y sin a, v = x sin a + y cos a - b (u - m)^2, with a
/// counter-clockwise as seen and cell (0, 0) covering [0,1) x [0,1). Where film is bent, b
/// straightens it about the place m along it.
struct Turn {
  double cosine;
  double sine;
  double bend = 0;    ///< b, 1 / cells
  double middle = 0;  ///< m, cells
  explicit Turn(double degrees);
  double u(double x, double y) const { return x * cosine - y * sine; }
  double v(double x, double y) const { return x * sine + y * cosine - bent(u(x, y)); }
  /// u for upright sides, v for the others.
  double across(double x, double y, Side side) const { return upright(side) ? u(x, y) : v(x, y); }
  /// How far film that is bent lies beyond a straight one.
  double bent(double at_u) const { return bend * (at_u - middle) * (at_u - middle); }
};

/// Where content begins, seen from one side, in cells.
struct EdgePoint {
  double x;
  double y;
  bool clear;  ///< against clear film
};

/// All that can be seen of frames' edges in a window.
struct FrameEdges {
  cv::Mat1b content;  ///< of the window: 255 where there is picture
  std::array<std::vector<EdgePoint>, 4> points;
  /// Per side, cells along the window's border that content runs through.
  std::array<double, 4> touching{};
};

/// On each line of cells the outermost edges are kept, a few, for edge printing may come first.
inline constexpr int kMostEdges = 4;

/// Finds where content begins. Things thinner than a few cells are left out: dust, hairs, the
/// holder's blurred edge, strokes of small letters. Along x up to `most_along` edges are kept.
FrameEdges find_edges(const FilmTones& tones, const CellWindow& window,
                      int most_along = kMostEdges);

/// The angle, within 6.6 degrees, at which the edges fall best into straight lines; 0 without
/// edges.
double find_angle(const FrameEdges& edges);

/// The same for a strip along a window, whose long edges may be bent by a hundredth of it.
struct Lie {
  double degrees;
  Turn turn;
};
Lie find_lie(const FrameEdges& edges, const CellWindow& window);

/// Counts of edge points by position across, one bin a cell, smoothed over three.
struct EdgeProfile {
  double first = 0;  ///< position of the first bin's lower end
  std::vector<double> count;
};
EdgeProfile edge_profile(const std::vector<EdgePoint>& points, const Turn& turn, Side side);

}  // namespace basefog::area
