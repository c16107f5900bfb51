// SPDX-License-Identifier: GPL-3.0-or-later
#include "area/film_strip.hpp"

#include <algorithm>
#include <cmath>
#include <numbers>
#include <optional>

#include "area/picture_band.hpp"
#include "numeric/quantile.hpp"

namespace basefog::area {
namespace {

double count_at(const EdgeProfile& profile, double position) {
  const auto i = static_cast<std::ptrdiff_t>(std::floor(position - profile.first));
  return i >= 0 && i < static_cast<std::ptrdiff_t>(profile.count.size()) ? profile.count[i] : 0.0;
}

/// Edges looked at on a line along the film: frames have two each, and pictures some of their own.
constexpr int kMostEdgesAlong = 24;

/// Where film ends against bare light and picture with it, scissors cut through a frame: that shows
/// no frame's end.
void ignore_cuts(StripView& view, const std::vector<double>& bare) {
  constexpr double kMost = 0.5;           // of the height (judgement)
  constexpr std::ptrdiff_t kBlurred = 3;  // cells
  const auto is_film = [](double share) { return share > kMost; };
  const auto lit = [&](std::ptrdiff_t i) {
    return i >= 0 && i < std::ssize(bare) && bare[i] > kMost;
  };
  const auto forget = [](std::vector<double>& ends, std::ptrdiff_t at) {
    const auto from = ends.begin() + std::max<std::ptrdiff_t>(0, at - kBlurred);
    std::fill(from, ends.begin() + std::min(std::ssize(ends), at + kBlurred), 0.0);
  };
  const auto begin = std::find_if(view.film.begin(), view.film.end(), is_film) - view.film.begin();
  const auto end = view.film.rend() - std::find_if(view.film.rbegin(), view.film.rend(), is_film);
  if (lit(begin - kBlurred)) forget(view.starts, begin);
  if (lit(end + kBlurred - 1)) forget(view.ends, end);
}

StripView view_along(const FilmTones& tones, const FrameEdges& edges, const Turn& turn,
                     const Band& band, const CellWindow& window) {
  StripView view;
  view.top = band.top;
  view.bottom = band.bottom;
  view.first = std::floor(std::min(turn.u(0, 0), turn.u(0, window.y1))) - 1;
  const double last = std::max(turn.u(window.x1, 0), turn.u(window.x1, window.y1)) + 2;
  const auto size = static_cast<std::size_t>(last - view.first);
  view.content.assign(size, 0.0);
  view.film.assign(size, 0.0);
  std::vector<double> bare(size, 0.0);
  for (int y = 0; y < tones.height; ++y) {
    for (int x = 0; x < tones.width; ++x) {
      const double v = turn.v(x + 0.5, y + 0.5);
      if (v < view.top || v > view.bottom) continue;
      const auto i = static_cast<std::size_t>(turn.u(x + 0.5, y + 0.5) - view.first);
      const AreaKind kind = tones.kind[tones.index(x, y)];
      if (edges.content(y, x)) view.content[i] += 1 / view.height();
      if (kind == AreaKind::picture || kind == AreaKind::clear_film) {
        view.film[i] += 1 / view.height();
      }
      if (kind == AreaKind::bare_light) bare[i] += 1 / view.height();
    }
  }
  // Two thirds of an end's length seen are as good as all: shadows hide the rest (judgement).
  constexpr double kPerLength = 1.5;
  auto ends = [&](Side side) {
    std::vector<EdgePoint> within;
    for (const EdgePoint& p : edges.points[side]) {
      const double v = turn.v(p.x, p.y);
      if (v > view.top - 1 && v < view.bottom + 1) within.push_back(p);
    }
    const EdgeProfile profile = edge_profile(within, turn, side);
    std::vector<double> out(size, 0.0);
    for (std::size_t i = 0; i < size; ++i) {
      const double c = count_at(profile, view.first + static_cast<double>(i) + 0.5);
      out[i] = std::min(1.0, kPerLength * c / view.height());
    }
    return out;
  };
  view.starts = ends(kLeft);
  view.ends = ends(kRight);
  ignore_cuts(view, bare);
  return view;
}

/// One end or long side of a frame from the edge points near a place and within the other two.
FrameSide side_near(const std::vector<EdgePoint>& points, const Turn& turn, Side side,
                    double position, double low, double high) {
  constexpr double kNear = 2.5;  // cells, about the error of the chain's places
  // Points, and share of the side: fewer is not seen (judgement).
  constexpr double kLeastOnSide = 4;
  constexpr double kLeastOfSide = 0.03;
  std::vector<double> at;
  double clear = 0;
  for (const EdgePoint& p : points) {
    const double along = upright(side) ? turn.v(p.x, p.y) : turn.u(p.x, p.y);
    const double across = turn.across(p.x, p.y, side);
    if (along < low || along > high || std::abs(across - position) > kNear) continue;
    at.push_back(across);
    clear += p.clear ? 1 : 0;
  }
  const auto count = static_cast<double>(at.size());
  if (count < std::max(kLeastOnSide, kLeastOfSide * (high - low)))
    return {SideKind::derived, position, 0};
  return {clear > 0.5 * count ? SideKind::rebate : SideKind::mask, numeric::median(std::move(at)),
          std::min(1.0, count / (high - low))};
}

FrameOutline outline_of(const FrameEdges& edges, const Turn& turn, const StripView& view,
                        const Span& span) {
  const double start = view.first + static_cast<double>(span.start) + 0.5;
  const double end = view.first + static_cast<double>(span.end) + 0.5;
  FrameOutline frame;
  frame.cut = span.cut;
  frame.side(kLeft) = side_near(edges.points[kLeft], turn, kLeft, start, view.top, view.bottom);
  frame.side(kRight) = side_near(edges.points[kRight], turn, kRight, end, view.top, view.bottom);
  frame.side(kTop) = side_near(edges.points[kTop], turn, kTop, view.top, start, end);
  frame.side(kBottom) = side_near(edges.points[kBottom], turn, kBottom, view.bottom, start, end);
  return frame;
}

/// Ends that were not seen, from the other end and the length of the frames that were.
void complete_lengths(std::vector<FrameOutline>& frames) {
  std::vector<double> lengths;
  auto seen = [](const FrameSide& s) { return s.kind != SideKind::derived; };
  for (const FrameOutline& f : frames) {
    if (!f.cut && seen(f.side(kLeft)) && seen(f.side(kRight))) {
      lengths.push_back(f.side(kRight).position - f.side(kLeft).position);
    }
  }
  if (lengths.empty()) return;
  const double length = numeric::median(std::move(lengths));
  for (FrameOutline& f : frames) {
    if (f.cut) continue;
    const bool left = seen(f.side(kLeft));
    const bool right = seen(f.side(kRight));
    if (left && !right) f.side(kRight).position = f.side(kLeft).position + length;
    if (right && !left) f.side(kLeft).position = f.side(kRight).position - length;
  }
}

/// Mean evidence of the two edges at each gap.
double gap_evidence(const std::vector<FrameOutline>& frames) {
  double sum = 0;
  for (std::size_t i = 1; i < frames.size(); ++i) {
    sum += frames[i - 1].side(kRight).evidence + frames[i].side(kLeft).evidence;
  }
  return frames.size() > 1 ? sum / static_cast<double>(frames.size() - 1) : 0;
}

/// A frame found on straightened film, as it lies: turned with the film at its place.
FrameOutline as_it_lies(const FrameOutline& frame, const Lie& lie) {
  const double u = (frame.side(kLeft).position + frame.side(kRight).position) / 2;
  const double v =
      (frame.side(kTop).position + frame.side(kBottom).position) / 2 + lie.turn.bent(u);
  const double slope = 2 * lie.turn.bend * (u - lie.turn.middle);
  FrameOutline out = frame;
  out.angle_degrees = lie.degrees - std::atan(slope) * 180 / std::numbers::pi;
  const Turn own(out.angle_degrees);
  const double x = u * lie.turn.cosine + v * lie.turn.sine;
  const double y = -u * lie.turn.sine + v * lie.turn.cosine;
  for (const Side side : {kLeft, kRight, kTop, kBottom}) {
    out.side(side).position += upright(side) ? own.u(x, y) - u : own.v(x, y) - v + lie.turn.bent(u);
  }
  return out;
}

/// Formats of the film that a band lies on as cameras put it there; all where that does not show.
StripWish wish_for(const PictureBand& band, StripWish wish) {
  constexpr double kSeated = 0.3;    // about a sigma and a half off (judgement)
  constexpr double kSmallFilm = 30;  // mm, across; 35 mm film has 24, roll film 56
  if (!wish.formats.empty() || band.seat < kSeated) return wish;
  for (const FilmFormat& format : film_formats()) {
    if (format.pitch > 0 && (format.across < kSmallFilm) == band.perforated) {
      wish.formats.push_back(format);
    }
  }
  return wish;
}

}  // namespace

std::vector<StripFrames> find_strips(const FilmTones& tones, const StripWish& wish) {
  std::vector<StripFrames> strips;
  const CellWindow window{0, 0, tones.width, tones.height};
  const FrameEdges edges = find_edges(tones, window, kMostEdgesAlong);
  const Lie lie = find_lie(edges, window);
  for (const PictureBand& found : find_bands(tones, edges, lie.turn, wish)) {
    // Where the hint says that there are frames, the whole part is taken.
    if (!found.band && !wish.frames) continue;
    const StripView view =
        view_along(tones, edges, lie.turn, found.band.value_or(found.part), window);
    const Chain chain = find_chain(view, wish_for(found, wish));
    if (chain.frames.empty()) continue;
    StripFrames strip;
    for (const Span& span : chain.frames) {
      strip.frames.push_back(outline_of(edges, lie.turn, view, span));
    }
    complete_lengths(strip.frames);
    // More frames may be asked for than the scan has room for.
    std::erase_if(strip.frames, [](const FrameOutline& f) {
      return f.side(kRight).position <= f.side(kLeft).position ||
             f.side(kBottom).position <= f.side(kTop).position;
    });
    if (strip.frames.empty()) continue;
    strip.gap_evidence = gap_evidence(strip.frames);
    strip.merit = chain.merit;
    strip.seat = found.seat;
    for (FrameOutline& frame : strip.frames) frame = as_it_lies(frame, lie);
    strips.push_back(std::move(strip));
  }
  return strips;
}

}  // namespace basefog::area
