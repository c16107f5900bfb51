// SPDX-License-Identifier: GPL-3.0-or-later
#include "area/outline_search.hpp"

#include <algorithm>
#include <cmath>
#include <opencv2/imgproc.hpp>

namespace basefog::area {
namespace {

// The weights of merit (outline_search.hpp), in sides seen in full, all judgement.

/// Of the share of the window that the frame fills: a scan of one frame is mostly frame.
constexpr double kFillWeight = 3;
/// Share of a side from which its evidence is whole: dark parts of a picture hide the rest.
constexpr double kSeenInFull = 0.5;
/// Of content left outside, as a share of the window: a fiftieth of it undoes a side, since a
/// picture lies within its edges, but edge printing and dust do not.
constexpr double kOutsideWeight = 50;
/// Gates and crops miss a format's ratio by about 2 %, in ln. 5 % off costs 0.6; never more
/// than 1.5, for a frame that the scan cuts may have any ratio.
constexpr double kRatioSpread = 0.02;
constexpr double kMisfitWeight = 0.1;
constexpr double kMostMisfit = 1.5;
/// Frames smaller than this, in cells, are none.
constexpr double kLeastSide = 8;

double format_misfit(std::span<const FormatRatio> formats, double width, double height,
                     bool derived) {
  const double ratio = std::max(width, height) / std::min(width, height);
  double least = kMostMisfit;
  for (const FormatRatio& format : formats) {
    const double off = std::log(ratio / format.ratio) / kRatioSpread;
    least = std::min(least, kMisfitWeight * off * off + (derived ? format.reluctance : 0.0));
  }
  return least;
}

double merit(const FourSides& side, const OutlineProblem& problem) {
  const double width = side[kRight].position - side[kLeft].position;
  const double height = side[kBottom].position - side[kTop].position;
  if (width < kLeastSide || height < kLeastSide) return -1e9;
  double merit = kFillWeight * width * height / problem.window_area;
  bool whole = true;
  bool derived = false;
  for (int s = 0; s < 4; ++s) {
    const double length = s == kLeft || s == kRight ? height : width;
    merit += std::min(1.0, side[s].count / kSeenInFull / length);
    derived = derived || side[s].kind == SideKind::derived;
    whole = whole && side[s].kind != SideKind::mask && side[s].kind != SideKind::border;
  }
  if (whole) merit -= format_misfit(problem.formats, width, height, derived);
  const double outside = problem.content.all() - problem.content.inside(side[kLeft].position - 1,
                                                                        side[kTop].position - 1,
                                                                        side[kRight].position + 1,
                                                                        side[kBottom].position + 1);
  return merit - kOutsideWeight * outside / problem.window_area;
}

/// Tries outlines and keeps the best.
class OutlineSearch {
 public:
  explicit OutlineSearch(const OutlineProblem& problem)
      : problem_(problem),
        best_{{{problem.u.low, 0, SideKind::border},
               {problem.u.high, 0, SideKind::border},
               {problem.v.low, 0, SideKind::border},
               {problem.v.high, 0, SideKind::border}}} {}

  FourSides best() {
    try_with_left_and_right();
    try_with_top_and_bottom();
    try_with_corner();
    return best_;
  }

 private:
  const std::vector<SideCandidate>& seen(Side side) const { return problem_.candidates[side]; }

  void consider(const FourSides& sides) {
    const double m = merit(sides, problem_);
    if (m > best_merit_) {
      best_merit_ = m;
      best_ = sides;
    }
  }

  /// All four sides seen, or all but the top or the bottom.
  void try_with_left_and_right() {
    for (const SideCandidate& l : seen(kLeft)) {
      for (const SideCandidate& r : seen(kRight)) {
        const double width = r.position - l.position;
        for (const SideCandidate& t : seen(kTop)) {
          for (const SideCandidate& b : seen(kBottom)) consider({l, r, t, b});
          for (const SideCandidate& b : derived(t.position, width, 1, problem_.v)) {
            consider({l, r, t, b});
          }
        }
        for (const SideCandidate& b : seen(kBottom)) {
          for (const SideCandidate& t : derived(b.position, width, -1, problem_.v)) {
            consider({l, r, t, b});
          }
        }
      }
    }
  }

  /// All but the left or the right side seen.
  void try_with_top_and_bottom() {
    for (const SideCandidate& t : seen(kTop)) {
      for (const SideCandidate& b : seen(kBottom)) {
        const double height = b.position - t.position;
        for (const SideCandidate& l : seen(kLeft)) {
          for (const SideCandidate& r : derived(l.position, height, 1, problem_.u)) {
            consider({l, r, t, b});
          }
        }
        for (const SideCandidate& r : seen(kRight)) {
          for (const SideCandidate& l : derived(r.position, height, -1, problem_.u)) {
            consider({l, r, t, b});
          }
        }
      }
    }
  }

  /// Two sides seen that meet.
  void try_with_corner() {
    for (const bool left : {true, false}) {
      for (const bool top : {true, false}) {
        for (const SideCandidate& x : seen(left ? kLeft : kRight)) {
          for (const SideCandidate& y : seen(top ? kTop : kBottom)) try_corner(x, left, y, top);
        }
      }
    }
  }

  void try_corner(const SideCandidate& x, bool left, const SideCandidate& y, bool top) {
    for (const Size& size : sizes_from_corner(x.position, y.position)) {
      const SideCandidate across{x.position + (left ? size.width : -size.width), 0,
                                 SideKind::derived};
      const SideCandidate down{y.position + (top ? size.height : -size.height), 0,
                               SideKind::derived};
      consider({left ? x : across, left ? across : x, top ? y : down, top ? down : y});
    }
  }

  /// Where the formats put a side, `direction` (1 or -1) from the opposite one, beside sides of
  /// `other_length`.
  std::vector<SideCandidate> derived(double opposite, double other_length, int direction,
                                     const Extent& window) const {
    std::vector<SideCandidate> out;
    for (const FormatRatio& format : problem_.formats) {
      for (double ratio : {format.ratio, 1 / format.ratio}) {
        const double at = opposite + direction * other_length * ratio;
        if (at < window.low - 2 || at > window.high + 2) continue;
        out.push_back({at, 0, SideKind::derived});
        if (format.ratio == 1.0) break;
      }
    }
    return out;
  }

  struct Size {
    double width;
    double height;
  };

  /// From a corner at (x, y): for each format the largest frame that leaves margins on the open
  /// sides no narrower than on the seen ones.
  std::vector<Size> sizes_from_corner(double x, double y) const {
    const auto most = [](const Extent& window, double seen) {
      return (window.high - window.low) - 2 * std::min(seen - window.low, window.high - seen);
    };
    const double most_width = most(problem_.u, x);
    const double most_height = most(problem_.v, y);
    std::vector<Size> out;
    for (const FormatRatio& format : problem_.formats) {
      for (double ratio : {format.ratio, 1 / format.ratio}) {
        const double width = std::min(most_width, most_height * ratio);
        out.push_back({width, width / ratio});
      }
    }
    return out;
  }

  const OutlineProblem& problem_;
  FourSides best_;
  double best_merit_ = -1e8;
};

}  // namespace

ContentSum::ContentSum(const cv::Mat1b& content, const CellWindow& w, double degrees) {
  const Turn turn(degrees);
  const double us[] = {turn.u(w.x0, w.y0), turn.u(w.x1, w.y0), turn.u(w.x0, w.y1),
                       turn.u(w.x1, w.y1)};
  const double vs[] = {turn.v(w.x0, w.y0), turn.v(w.x1, w.y0), turn.v(w.x0, w.y1),
                       turn.v(w.x1, w.y1)};
  u0_ = std::floor(*std::min_element(us, us + 4));
  v0_ = std::floor(*std::min_element(vs, vs + 4));
  const int width = static_cast<int>(*std::max_element(us, us + 4) - u0_) + 2;
  const int height = static_cast<int>(*std::max_element(vs, vs + 4) - v0_) + 2;
  cv::Mat1f turned(height, width, 0.0F);
  for (int y = 0; y < content.rows; ++y) {
    for (int x = 0; x < content.cols; ++x) {
      if (!content(y, x)) continue;
      const double cx = w.x0 + x + 0.5;
      const double cy = w.y0 + y + 0.5;
      turned(static_cast<int>(turn.v(cx, cy) - v0_), static_cast<int>(turn.u(cx, cy) - u0_)) += 1;
    }
  }
  cv::integral(turned, sum_, CV_64F);
}

double ContentSum::inside(double left, double top, double right, double bottom) const {
  const int x0 = column(left);
  const int x1 = column(right);
  const int y0 = row(top);
  const int y1 = row(bottom);
  return sum_(y1, x1) - sum_(y0, x1) - sum_(y1, x0) + sum_(y0, x0);
}

int ContentSum::column(double u) const {
  return std::clamp(static_cast<int>(std::lround(u - u0_)), 0, sum_.cols - 1);
}

int ContentSum::row(double v) const {
  return std::clamp(static_cast<int>(std::lround(v - v0_)), 0, sum_.rows - 1);
}

FourSides best_outline(const OutlineProblem& problem) { return OutlineSearch(problem).best(); }

}  // namespace basefog::area
