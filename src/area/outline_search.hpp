// SPDX-License-Identifier: GPL-3.0-or-later
// Which four of the sides that may be there make the frame.
#pragma once

#include <array>
#include <opencv2/core.hpp>
#include <span>
#include <vector>

#include "area/frame_outline.hpp"

namespace basefog::area {

// The search for a frame's outline.
//
// Formula. In coordinates u, v turned by the frame's angle, each side has some candidates: a place
// where the side may run, with the evidence for it. Of all outlines (left, right, top, bottom) that
// the candidates allow, the one of greatest merit is the frame:
//
//   merit = 3 w h / A + sum over sides of min(1, 2 c / length) - misfit - 50 o / A
//
//   w, h     width and height, cells
//   A        area of the window that is searched, cells
//   c        evidence for a side, cells along it: edge points on its line (rebate, mask), content
//            at the window's border (border), a fifth of the window (faint), 0 (derived)
//   length   of the side, cells: an edge seen along half a side counts in full
//   o        content outside the outline and a margin of one cell, cells
//   misfit   least over formats of min(1.5, 0.1 (ln(ratio / format's ratio) / 0.02)^2 + r); only
//            where all four sides are the frame's own, none the mask's or the scan's border;
//            r: how reluctantly that format is assumed, only where a side is derived
//
// Merit has no unit. Outlines are tried with four sides seen; with three, the fourth put where a
// format has it; with two that meet, the largest frame of a format whose margins on the open sides
// are no narrower than on the seen ones.
//
// Assumes. One frame in the window; a scan of one frame is mostly frame; pictures have a known
// format's ratio to about 2 %; content belongs to the frame. The weights are judgement: area_study
// (tests/validation) shows what they do.
//
// Costs. With k candidates a side (some ten at most) and f formats k^4 + 8 f k^3 + 8 f k^2 merits,
// each a look-up in a summed image and f ratios.
//
// Accurate. On drawn scans found and true outline share more than 95 % of their union and differ by
// less than 0.3 degrees (FilmArea.frame_with_rebate_around_it, FilmArea.frame_turned_either_way,
// FilmArea.frame_with_the_holders_mask_in_view, FilmArea.white_wall_has_four_edges).
//
// Fails. Where no outline is possible (no candidates on two sides that meet) the answer is the
// window's own border. Of a frame that shows two sides only, as a night scene does, the derived
// sides may be off (FilmArea.night_scene_keeps_its_whole_frame: more than 80 %). Of equal merits
// the first tried stays.
//
// Source. Ours (judgement).

/// Where a side may run, across it in turned cells, with the evidence for it.
struct SideCandidate {
  double position;
  double count;  ///< cells along the side: edge points on the line, or content along the border
  SideKind kind;
  /// Whether edge points lie on it.
  bool straight() const { return kind == SideKind::rebate || kind == SideKind::mask; }
};
using FourSides = std::array<SideCandidate, 4>;  ///< by Side

/// A ratio of the long to the short side of a picture, with how reluctantly it is assumed, 0 best.
struct FormatRatio {
  double ratio;
  double reluctance;
};

/// Content summed over turned rectangles.
class ContentSum {
 public:
  /// content: of the window, 255 where there is picture; the turn in degrees.
  ContentSum(const cv::Mat1b& content, const CellWindow& window, double degrees);
  double all() const { return sum_(sum_.rows - 1, sum_.cols - 1); }
  double inside(double left, double top, double right, double bottom) const;

 private:
  int column(double u) const;
  int row(double v) const;

  double u0_ = 0;
  double v0_ = 0;
  cv::Mat1d sum_;
};

/// A stretch across a pair of sides, turned cells.
struct Extent {
  double low;
  double high;
};

struct OutlineProblem {
  std::array<std::vector<SideCandidate>, 4> candidates;  ///< by Side
  ContentSum content;
  std::span<const FormatRatio> formats;
  Extent u;  ///< of the window
  Extent v;  ///< of the window
  double window_area = 0;
};

/// The outline of greatest merit.
FourSides best_outline(const OutlineProblem& problem);

}  // namespace basefog::area
