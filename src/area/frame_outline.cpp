// SPDX-License-Identifier: GPL-3.0-or-later
#include "area/frame_outline.hpp"

#include <algorithm>
#include <cmath>
#include <numbers>
#include <optional>

#include "area/faint_steps.hpp"
#include "area/outline_search.hpp"
#include "numeric/quantile.hpp"

namespace basefog::area {
namespace {

/// How much readier the first format is assumed than any other, as evidence of a side: the size of
/// a frame alone must not outweigh a side that is seen (judgement).
constexpr double kOtherFormat = 0.4;

/// A single frame may be of any format, 24x36 most of all.
std::vector<FormatRatio> ratios_of(std::span<const FilmFormat> formats) {
  std::vector<FormatRatio> out;
  for (const FilmFormat& format : formats) {
    const double reluctance =
        formats.size() == 1 || &format == formats.data() ? 0.0 : kOtherFormat + format.reluctance;
    out.push_back({std::max(format.ratio(), 1 / format.ratio()), reluctance});
  }
  return out;
}

/// A faint step counts little, but more than nothing: as edge points along so much of the window
/// (judgement).
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

/// Lines on which at least `least` edge points lie, strongest first, a few.
std::vector<SideCandidate> straight_candidates(const std::vector<EdgePoint>& points,
                                               const Turn& turn, Side side, double least) {
  std::vector<SideCandidate> out;
  const EdgeProfile profile = edge_profile(points, turn, side);
  for (std::size_t i = 1; i + 1 < profile.count.size(); ++i) {
    const double c = profile.count[i];
    if (c < least || c < profile.count[i - 1] || c <= profile.count[i + 1]) continue;
    double sum = 0;
    double n = 0;
    double clear = 0;
    const double middle = profile.first + static_cast<double>(i) + 0.5;
    for (const EdgePoint& p : points) {
      const double at = turn.across(p.x, p.y, side);
      if (std::abs(at - middle) > kOnLine) continue;
      sum += at;
      n += 1;
      clear += p.clear ? 1 : 0;
    }
    out.push_back({sum / n, n, clear > 0.5 * n ? SideKind::rebate : SideKind::mask});
  }
  std::sort(out.begin(), out.end(),
            [](const SideCandidate& a, const SideCandidate& b) { return a.count > b.count; });
  if (out.size() > kMostLines) out.resize(kMostLines);
  return out;
}

/// The window's border, which is not turned with the frame: so far inside that the whole side lies
/// in the window.
SideCandidate border_candidate(const CellWindow& window, const Turn& turn, Side side, double lines,
                               double content) {
  const double lean = std::abs(turn.sine) * lines / 2;
  const double x = side == kLeft ? window.x0 : side == kRight ? window.x1 : middle_x(window);
  const double y = side == kTop ? window.y0 : side == kBottom ? window.y1 : middle_y(window);
  const double at = turn.across(x, y, side);
  return {side == kLeft || side == kTop ? at + lean : at - lean, content, SideKind::border};
}

/// Straight edges, faint steps, and the border where content reaches it.
std::vector<SideCandidate> candidates_of(const FilmTones& tones, const CellWindow& window,
                                         const FrameEdges& edges, const Turn& turn, Side side) {
  const double lines = upright(side) ? window.height() : window.width();
  const double least = std::max(kLeastPoints, kLeastShare * lines);
  std::vector<SideCandidate> out = straight_candidates(edges.points[side], turn, side, least);
  for (const FaintStep& faint : find_faint_steps(tones, window, turn, side)) {
    out.push_back({faint.position, kFaintEvidence * lines, SideKind::faint});
  }
  if (edges.touching[side] > least) {
    out.push_back(border_candidate(window, turn, side, lines, edges.touching[side]));
  }
  return out;
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
double lean_of(const FrameEdges& edges, const Turn& turn, const FourSides& sides) {
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

  FourSides sides{};
  const std::vector<FormatRatio> ratios = ratios_of(formats.empty() ? film_formats() : formats);
  for (int round = 0; round < 2; ++round) {
    const Turn turn(frame.angle_degrees);
    std::array<std::vector<SideCandidate>, 4> candidates;
    for (const Side side : {kLeft, kRight, kTop, kBottom}) {
      candidates[side] = candidates_of(tones, window, edges, turn, side);
    }
    const double u = turn.u(middle_x(window), middle_y(window));
    const double v = turn.v(middle_x(window), middle_y(window));
    sides = best_outline({.candidates = std::move(candidates),
                          .content = ContentSum(edges.content, window, frame.angle_degrees),
                          .formats = ratios,
                          .u = {u - window.width() / 2.0, u + window.width() / 2.0},
                          .v = {v - window.height() / 2.0, v + window.height() / 2.0},
                          .window_area = window_area});
    if (round == 0) frame.angle_degrees += lean_of(edges, turn, sides);
  }

  const Turn turn(frame.angle_degrees);
  const double width = sides[kRight].position - sides[kLeft].position;
  const double height = sides[kBottom].position - sides[kTop].position;
  for (const Side side : {kLeft, kRight, kTop, kBottom}) {
    const SideCandidate& c = sides[side];
    FrameSide& out = frame.side(side);
    out.kind = c.kind;
    out.position =
        c.straight() ? median_position(edges.points[side], turn, side, c.position) : c.position;
    out.evidence = std::min(1.0, c.count / (upright(side) ? height : width));
  }
  return frame;
}

}  // namespace basefog::area
