// SPDX-License-Identifier: GPL-3.0-or-later
#include "area/frame_outline.hpp"

#include <algorithm>
#include <cmath>
#include <numbers>
#include <opencv2/imgproc.hpp>
#include <optional>

#include "area/faint_steps.hpp"
#include "numeric/quantile.hpp"

namespace basefog::area {
namespace {

/// A ratio of the long to the short side of a picture, with how readily it is assumed, 0 best.
struct Ratio {
  double ratio;
  double reluctance;
};

/// How much readier the first format is assumed than any other, as evidence of a side: the size of
/// a frame alone must not outweigh a side that is seen (judgement).
constexpr double kOtherFormat = 0.4;

/// A single frame may be of any format, 24x36 most of all.
std::vector<Ratio> ratios_of(std::span<const FilmFormat> formats) {
  std::vector<Ratio> out;
  for (const FilmFormat& format : formats) {
    const double reluctance =
        formats.size() == 1 || &format == formats.data() ? 0.0 : kOtherFormat + format.reluctance;
    out.push_back({std::max(format.ratio(), 1 / format.ratio()), reluctance});
  }
  return out;
}

/// Share of a side that a faint step is taken for: more than lines that come by chance, less than
/// an edge that is seen (judgement).
constexpr double kFaintEvidence = 0.2;
/// Lines of edges that are tried a side; the search goes over the product of all sides', and frames
/// have one edge a side, pictures a few of their own (judgement).
constexpr std::size_t kMostLines = 6;
/// An edge is a line with so many points on it, and so large a share of the side's length: fewer
/// lie on a line by chance (judgement).
constexpr double kLeastPoints = 5;
constexpr double kLeastShare = 0.02;
/// Cells from a line within which edge points belong to it: a profile's bin with its neighbours;
/// wider for the lean, which the line's own angle error bends, and for the median, which evens it
/// out (judgement).
constexpr double kOnLine = 1.5;
constexpr double kNearLine = 2.5;
constexpr double kAtLine = 2.0;

double middle_x(const CellWindow& w) { return (w.x0 + w.x1) / 2.0; }
double middle_y(const CellWindow& w) { return (w.y0 + w.y1) / 2.0; }

struct Candidate {
  double position;
  double count;  ///< edge points on the line, or content along the border
  SideKind kind;
  /// Whether edge points lie on it.
  bool straight() const { return kind == SideKind::rebate || kind == SideKind::mask; }
};

/// Lines on which many edges lie, strongest first, and the border where content reaches it.
std::vector<Candidate> candidates_of(const FilmTones& tones, const CellWindow& window,
                                     const FrameEdges& edges, const Turn& turn, Side side) {
  const double lines = upright(side) ? window.height() : window.width();
  std::vector<Candidate> out;
  const EdgeProfile profile = edge_profile(edges.points[side], turn, side);
  const double least = std::max(kLeastPoints, kLeastShare * lines);
  for (std::size_t i = 1; i + 1 < profile.count.size(); ++i) {
    const double c = profile.count[i];
    if (c < least || c < profile.count[i - 1] || c <= profile.count[i + 1]) continue;
    double sum = 0;
    double n = 0;
    double clear = 0;
    const double middle = profile.first + static_cast<double>(i) + 0.5;
    for (const EdgePoint& p : edges.points[side]) {
      const double at = turn.across(p.x, p.y, side);
      if (std::abs(at - middle) > kOnLine) continue;
      sum += at;
      n += 1;
      clear += p.clear ? 1 : 0;
    }
    out.push_back({sum / n, n, clear > 0.5 * n ? SideKind::rebate : SideKind::mask});
  }
  std::sort(out.begin(), out.end(),
            [](const Candidate& a, const Candidate& b) { return a.count > b.count; });
  if (out.size() > kMostLines) out.resize(kMostLines);

  // A faint step counts little, but more than nothing.
  for (const FaintStep& faint : find_faint_steps(tones, window, turn, side)) {
    out.push_back({faint.position, kFaintEvidence * lines, SideKind::faint});
  }
  if (edges.touching[side] > least) {
    // The border of the scan is not turned with the frame: stay inside it over the whole side.
    const double lean = std::abs(turn.sine) * lines / 2;
    const double x = side == kLeft ? window.x0 : side == kRight ? window.x1 : middle_x(window);
    const double y = side == kTop ? window.y0 : side == kBottom ? window.y1 : middle_y(window);
    const double at = turn.across(x, y, side);
    out.push_back({side == kLeft || side == kTop ? at + lean : at - lean, edges.touching[side],
                   SideKind::border});
  }
  return out;
}

/// Content summed over turned rectangles.
class ContentSum {
 public:
  ContentSum(const cv::Mat1b& content, const CellWindow& w, double degrees) {
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

  double all() const { return sum_(sum_.rows - 1, sum_.cols - 1); }
  double inside(double left, double top, double right, double bottom) const {
    const int x0 = column(left);
    const int x1 = column(right);
    const int y0 = row(top);
    const int y1 = row(bottom);
    return sum_(y1, x1) - sum_(y0, x1) - sum_(y1, x0) + sum_(y0, x0);
  }

 private:
  int column(double u) const {
    return std::clamp(static_cast<int>(std::lround(u - u0_)), 0, sum_.cols - 1);
  }
  int row(double v) const {
    return std::clamp(static_cast<int>(std::lround(v - v0_)), 0, sum_.rows - 1);
  }
  double u0_ = 0;
  double v0_ = 0;
  cv::Mat1d sum_;
};

// What counts for and against four sides, in units of one side that is seen whole (judgement; held
// by area_study on simulated frames, strips and sheets).

/// Gates and crops miss a format's ratio by about 2 %, in ln. The squared distance in such units
/// costs a tenth each, so 5 % off costs 0.6, and never more than 1.5: a frame that is cut by the
/// scan may have any ratio.
constexpr double kRatioSigma = 0.02;
constexpr double kMisfitWeight = 0.1;
constexpr double kMostMisfit = 1.5;
/// A scan of one frame is mostly frame: what a frame gains that fills the whole window.
constexpr double kFillWeight = 3;
/// What content outside the frame costs that fills the window: a fiftieth of it outside undoes a
/// side, since a picture is inside its edges but edge printing and dust are not.
constexpr double kOutsideWeight = 50;
/// A side counts whole from half of its length on: dark parts of a picture hide the rest.
constexpr double kWholeSide = 0.5;
/// Frames smaller than this, in cells, are none.
constexpr double kLeastSide = 8;

/// How far a frame is from every format; where a side was derived from a format, how readily.
double format_misfit(const std::vector<Ratio>& formats, double width, double height, bool derived) {
  const double ratio = std::max(width, height) / std::min(width, height);
  double least = kMostMisfit;
  for (const Ratio& format : formats) {
    const double off = std::log(ratio / format.ratio) / kRatioSigma;
    least = std::min(least, kMisfitWeight * off * off + (derived ? format.reluctance : 0.0));
  }
  return least;
}

/// How well four sides explain what is seen; more is better.
double merit(const std::array<Candidate, 4>& side, const ContentSum& content,
             const std::vector<Ratio>& formats, double window_area) {
  const double width = side[kRight].position - side[kLeft].position;
  const double height = side[kBottom].position - side[kTop].position;
  if (width < kLeastSide || height < kLeastSide) return -1e9;
  double merit = kFillWeight * width * height / window_area;
  bool whole = true;
  bool derived = false;
  for (int s = 0; s < 4; ++s) {
    const double length = s == kLeft || s == kRight ? height : width;
    merit += std::min(1.0, side[s].count / (kWholeSide * length));
    derived = derived || side[s].kind == SideKind::derived;
    whole = whole && side[s].kind != SideKind::mask && side[s].kind != SideKind::border;
  }
  if (whole) merit -= format_misfit(formats, width, height, derived);
  const double outside =
      content.all() - content.inside(side[kLeft].position - 1, side[kTop].position - 1,
                                     side[kRight].position + 1, side[kBottom].position + 1);
  return merit - kOutsideWeight * outside / window_area;
}

/// The best of a side left open: where the known formats put it.
std::vector<Candidate> derived_from(const std::vector<Ratio>& formats, double opposite,
                                    double other_length, int direction, double window_low,
                                    double window_high) {
  std::vector<Candidate> out;
  for (const Ratio& format : formats) {
    for (double ratio : {format.ratio, 1 / format.ratio}) {
      const double at = opposite + direction * other_length * ratio;
      if (at < window_low - 2 || at > window_high + 2) continue;
      out.push_back({at, 0, SideKind::derived});
      if (format.ratio == 1.0) break;
    }
  }
  return out;
}

struct Extent {
  double low;
  double high;
};

/// Where only two sides that meet are seen: the largest frame of a known format that leaves margins
/// on the unseen sides no narrower than on the seen ones.
std::vector<std::pair<double, double>> sizes_from_corner(const std::vector<Ratio>& formats,
                                                         double x, const Extent& u, double y,
                                                         const Extent& v) {
  const double most_width = (u.high - u.low) - 2 * std::min(x - u.low, u.high - x);
  const double most_height = (v.high - v.low) - 2 * std::min(y - v.low, v.high - y);
  std::vector<std::pair<double, double>> out;
  for (const Ratio& format : formats) {
    for (double ratio : {format.ratio, 1 / format.ratio}) {
      const double width = std::min(most_width, most_height * ratio);
      out.emplace_back(width, width / ratio);
    }
  }
  return out;
}

std::array<Candidate, 4> best_sides(const std::array<std::vector<Candidate>, 4>& all,
                                    const ContentSum& content, const std::vector<Ratio>& formats,
                                    const Extent& u, const Extent& v, double window_area) {
  std::array<Candidate, 4> best{{{u.low, 0, SideKind::border},
                                 {u.high, 0, SideKind::border},
                                 {v.low, 0, SideKind::border},
                                 {v.high, 0, SideKind::border}}};
  double best_merit = -1e8;
  auto consider = [&](const std::array<Candidate, 4>& sides) {
    const double m = merit(sides, content, formats, window_area);
    if (m > best_merit) {
      best_merit = m;
      best = sides;
    }
  };
  for (const Candidate& l : all[kLeft]) {
    for (const Candidate& r : all[kRight]) {
      const double width = r.position - l.position;
      for (const Candidate& t : all[kTop]) {
        for (const Candidate& b : all[kBottom]) consider({l, r, t, b});
        for (const Candidate& b : derived_from(formats, t.position, width, 1, v.low, v.high)) {
          consider({l, r, t, b});
        }
      }
      for (const Candidate& b : all[kBottom]) {
        for (const Candidate& t : derived_from(formats, b.position, width, -1, v.low, v.high)) {
          consider({l, r, t, b});
        }
      }
    }
  }
  for (const Candidate& t : all[kTop]) {
    for (const Candidate& b : all[kBottom]) {
      const double height = b.position - t.position;
      for (const Candidate& l : all[kLeft]) {
        for (const Candidate& r : derived_from(formats, l.position, height, 1, u.low, u.high)) {
          consider({l, r, t, b});
        }
      }
      for (const Candidate& r : all[kRight]) {
        for (const Candidate& l : derived_from(formats, r.position, height, -1, u.low, u.high)) {
          consider({l, r, t, b});
        }
      }
    }
  }
  for (const bool left : {true, false}) {
    for (const bool top : {true, false}) {
      for (const Candidate& x : all[left ? kLeft : kRight]) {
        for (const Candidate& y : all[top ? kTop : kBottom]) {
          for (const auto& [width, height] :
               sizes_from_corner(formats, x.position, u, y.position, v)) {
            const Candidate across{x.position + (left ? width : -width), 0, SideKind::derived};
            const Candidate down{y.position + (top ? height : -height), 0, SideKind::derived};
            consider({left ? x : across, left ? across : x, top ? y : down, top ? down : y});
          }
        }
      }
    }
  }
  return best;
}

/// Slope of the edges along one side against the present angle, in degrees, by the median of many
/// pairs (Theil and Sen's estimate on pairs half a side apart).
std::optional<double> side_lean(const std::vector<EdgePoint>& points, const Turn& turn, Side side,
                                double position) {
  std::vector<std::pair<double, double>> on;  // along, across
  for (const EdgePoint& p : points) {
    const double at = turn.across(p.x, p.y, side);
    const double along = upright(side) ? turn.v(p.x, p.y) : turn.u(p.x, p.y);
    if (std::abs(at - position) < kNearLine) on.emplace_back(along, at);
  }
  // Fewer points, shorter spans or fewer pairs say more of the cells than of the edge (judgement).
  constexpr std::size_t kLeastOnLine = 20;
  constexpr double kLeastSpan = 10;  // cells
  constexpr std::size_t kLeastPairs = 10;
  if (on.size() < kLeastOnLine) return std::nullopt;
  std::sort(on.begin(), on.end());
  std::vector<double> slopes;
  const std::size_t half = on.size() / 2;
  for (std::size_t i = 0; i + half < on.size(); ++i) {
    const double along = on[i + half].first - on[i].first;
    if (along > kLeastSpan) slopes.push_back((on[i + half].second - on[i].second) / along);
  }
  if (slopes.size() < kLeastPairs) return std::nullopt;
  const double slope = std::atan(numeric::median(std::move(slopes))) * 180 / std::numbers::pi;
  // A frame turned further by d shows du/dv = tan d on its upright sides, dv/du = -tan d on the
  // others.
  return upright(side) ? slope : -slope;
}

/// A better angle from the sides that were seen, each as sure as it is long.
double lean_of(const FrameEdges& edges, const Turn& turn, const std::array<Candidate, 4>& sides) {
  // The angle is known to a step of the search, so a side that leans more is something else.
  constexpr double kMostLean = 1;  // degrees
  double sum = 0;
  double weight = 0;
  for (const Side side : {kLeft, kRight, kTop, kBottom}) {
    if (!sides[side].straight()) continue;
    const auto lean = side_lean(edges.points[side], turn, side, sides[side].position);
    if (!lean || std::abs(*lean) > kMostLean) continue;
    const double w = sides[side].count * sides[side].count;
    sum += w * *lean;
    weight += w;
  }
  return weight > 0 ? sum / weight : 0;
}

double median_position(const std::vector<EdgePoint>& points, const Turn& turn, Side side,
                       double position) {
  std::vector<double> at;
  for (const EdgePoint& p : points) {
    const double a = turn.across(p.x, p.y, side);
    if (std::abs(a - position) < kAtLine) at.push_back(a);
  }
  if (at.empty()) return position;
  return numeric::median(std::move(at));
}

}  // namespace

FrameOutline find_frame(const FilmTones& tones, const CellWindow& window,
                        std::span<const FilmFormat> formats) {
  const FrameEdges edges = find_edges(tones, window);
  FrameOutline frame;
  frame.angle_degrees = find_angle(edges);
  const double window_area = static_cast<double>(window.width()) * window.height();

  std::array<Candidate, 4> sides{};
  const std::vector<Ratio> ratios = ratios_of(formats.empty() ? film_formats() : formats);
  for (int round = 0; round < 2; ++round) {
    const Turn turn(frame.angle_degrees);
    std::array<std::vector<Candidate>, 4> candidates;
    for (const Side side : {kLeft, kRight, kTop, kBottom}) {
      candidates[side] = candidates_of(tones, window, edges, turn, side);
    }
    const double u = turn.u(middle_x(window), middle_y(window));
    const double v = turn.v(middle_x(window), middle_y(window));
    sides = best_sides(candidates, ContentSum(edges.content, window, frame.angle_degrees), ratios,
                       {u - window.width() / 2.0, u + window.width() / 2.0},
                       {v - window.height() / 2.0, v + window.height() / 2.0}, window_area);
    if (round == 0) frame.angle_degrees += lean_of(edges, turn, sides);
  }

  const Turn turn(frame.angle_degrees);
  const double width = sides[kRight].position - sides[kLeft].position;
  const double height = sides[kBottom].position - sides[kTop].position;
  for (const Side side : {kLeft, kRight, kTop, kBottom}) {
    const Candidate& c = sides[side];
    FrameSide& out = frame.side(side);
    out.kind = c.kind;
    out.position =
        c.straight() ? median_position(edges.points[side], turn, side, c.position) : c.position;
    out.evidence = std::min(1.0, c.count / (upright(side) ? height : width));
  }
  return frame;
}

}  // namespace basefog::area
