// SPDX-License-Identifier: GPL-3.0-or-later
#pragma once

#include <cstddef>
#include <optional>
#include <vector>

#include "basefog/area/film_format.hpp"

namespace basefog::area {

/// What is seen along a strip: evidence of frames' ends and content, one value a cell along.
struct StripView {
  double first = 0;  ///< position along of the first cell
  double top = 0;    ///< of the pictures, across
  double bottom = 0;
  std::vector<double> starts;   ///< share of the height with a left edge here, 0 to 1
  std::vector<double> ends;     ///< ... with a right edge
  std::vector<double> content;  ///< share of the height that is picture
  std::vector<double> film;     ///< share of the height that is film, picture or clear
  double height() const { return bottom - top; }
};

/// A frame along a strip, in cells from the view's first.
struct Span {
  std::size_t start;
  std::size_t end;
  bool cut = false;  ///< by the film's end or the scan's: shorter than its format
};

/// What is known of a strip beforehand.
struct StripWish {
  std::vector<FilmFormat> formats;  ///< the only ones to try; empty: all of roll film
  std::optional<int> frames;        ///< how many there are
  std::optional<double> height;     ///< of the pictures across the film, cells
};

/// A row of frames along a strip.
struct Chain {
  double merit = -1e9;  ///< how well it explains what is seen, in edges seen whole
  std::vector<Span> frames;
  FilmFormat format;  ///< of its pictures
};

/// The row of frames, of one format, that explains best what is seen along a strip; none is an
/// answer unless the wish says how many there are. A frame that nothing shows is placed where its
/// neighbours' pitch leaves room for it; at the film's ends frames may be cut.
Chain find_chain(const StripView& view, const StripWish& wish);

}  // namespace basefog::area
