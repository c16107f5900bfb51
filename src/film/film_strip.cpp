// SPDX-License-Identifier: GPL-3.0-or-later
#include "film/film_strip.hpp"

#include <algorithm>
#include <cmath>
#include <optional>

namespace basefog {
namespace {

/// Ratios of a frame's length along the film to its height across: 24x36, half frame, 6x6, 4.5x6,
/// 6x7 (two cameras' sizes), panoramic; with how readily each is assumed, 0 best.
struct StripFormat {
  double ratio;
  double reluctance;
};
constexpr StripFormat kStripFormats[] = {{1.5, 0.0},   {0.75, 0.1},  {1.0, 0.0}, {0.741, 0.1},
                                         {1.241, 0.1}, {1.19, 0.15}, {2.7, 0.3}};
/// What a frame must bring in evidence of its two ends (at most 2) and content to be one.
constexpr double kFrameCost = 0.6;
/// What a frame's worth of content left outside all frames costs.
constexpr double kContentWorth = 3;
constexpr double kGapInside = 1.5;
constexpr double kSizeTolerance = 0.025;

/// What is seen along a strip: evidence of frames' ends and content, one value a cell along.
struct StripView {
  double angle = 0;
  double first = 0;  ///< position along of the first cell
  double top = 0;    ///< of the pictures, across
  double bottom = 0;
  std::vector<double> starts;   ///< share of the height with a left edge here, 0 to 1
  std::vector<double> ends;     ///< ... with a right edge
  std::vector<double> content;  ///< share of the height that is picture
  double height() const { return bottom - top; }
};

double count_at(const EdgeProfile& profile, double position) {
  const auto i = static_cast<std::ptrdiff_t>(std::floor(position - profile.first));
  return i >= 0 && i < static_cast<std::ptrdiff_t>(profile.count.size()) ? profile.count[i] : 0.0;
}

struct Peak {
  double position;
  double count;
};

std::vector<Peak> peaks_of(const EdgeProfile& profile, std::size_t most) {
  std::vector<Peak> out;
  for (std::size_t i = 1; i + 1 < profile.count.size(); ++i) {
    const double c = profile.count[i];
    if (c < 5 || c < profile.count[i - 1] || c <= profile.count[i + 1]) continue;
    out.push_back({profile.first + static_cast<double>(i) + 0.5, c});
  }
  std::sort(out.begin(), out.end(), [](const Peak& a, const Peak& b) { return a.count > b.count; });
  if (out.size() > most) out.resize(most);
  return out;
}

/// Content by position across, over the whole strip.
std::vector<double> content_across(const FrameEdges& edges, const Turn& turn, double first,
                                   std::size_t size) {
  std::vector<double> out(size, 0.0);
  for (int y = 0; y < edges.content.rows; ++y) {
    for (int x = 0; x < edges.content.cols; ++x) {
      if (!edges.content(y, x)) continue;
      const double v = turn.v(x + 0.5, y + 0.5) - first;
      if (v >= 0 && v < static_cast<double>(size)) out[static_cast<std::size_t>(v)] += 1;
    }
  }
  return out;
}

/// The two long edges of the pictures: many edge points on a line, hardly any content beyond.
std::optional<std::pair<double, double>> picture_band(const FrameEdges& edges, const Turn& turn,
                                                      const CellWindow& window) {
  const double low = std::min(turn.v(0, 0), turn.v(window.x1, 0)) - 1;
  const double high = std::max(turn.v(0, window.y1), turn.v(window.x1, window.y1)) + 1;
  const std::vector<double> content =
      content_across(edges, turn, low, static_cast<std::size_t>(high - low) + 1);
  std::vector<double> sum{0.0};
  for (const double c : content) sum.push_back(sum.back() + c);
  auto up_to = [&](double v) {
    return sum[static_cast<std::size_t>(
        std::clamp(v - low, 0.0, static_cast<double>(content.size())))];
  };
  std::optional<std::pair<double, double>> best;
  double best_merit = 0.2;
  for (const Peak& top : peaks_of(edge_profile(edges.points[kTop], turn, kTop), 8)) {
    for (const Peak& bottom : peaks_of(edge_profile(edges.points[kBottom], turn, kBottom), 8)) {
      if (bottom.position - top.position < 0.4 * window.height()) continue;
      const double outside = sum.back() - (up_to(bottom.position + 1) - up_to(top.position - 1));
      const double merit = (top.count + bottom.count) / (2.0 * window.width()) -
                           4 * outside / std::max(sum.back(), 1.0);
      if (merit > best_merit) {
        best_merit = merit;
        best = {top.position, bottom.position};
      }
    }
  }
  return best;
}

StripView view_along(const FrameEdges& edges, double angle, const std::pair<double, double>& band,
                     const CellWindow& window) {
  const Turn turn(angle);
  StripView view;
  view.angle = angle;
  view.top = band.first;
  view.bottom = band.second;
  view.first = std::floor(std::min(turn.u(0, 0), turn.u(0, window.y1))) - 1;
  const double last = std::max(turn.u(window.x1, 0), turn.u(window.x1, window.y1)) + 2;
  const auto size = static_cast<std::size_t>(last - view.first);
  view.content.assign(size, 0.0);
  for (int y = 0; y < edges.content.rows; ++y) {
    for (int x = 0; x < edges.content.cols; ++x) {
      if (!edges.content(y, x)) continue;
      const double v = turn.v(x + 0.5, y + 0.5);
      if (v < view.top || v > view.bottom) continue;
      view.content[static_cast<std::size_t>(turn.u(x + 0.5, y + 0.5) - view.first)] +=
          1 / view.height();
    }
  }
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
      out[i] = std::min(1.0, 1.5 * c / view.height());
    }
    return out;
  };
  view.starts = ends(kLeft);
  view.ends = ends(kRight);
  return view;
}

/// Evidence of a gap that begins at each cell: an end, no content, a start.
std::vector<double> gaps_in(const StripView& view) {
  std::vector<double> gap(view.ends.size(), 0.0);
  const auto widest = static_cast<std::size_t>(0.25 * view.height());
  for (std::size_t i = 0; i < gap.size(); ++i) {
    if (view.ends[i] < 0.1) continue;
    for (std::size_t k = 2; k <= widest && i + k < gap.size(); ++k) {
      if (view.content[i + k / 2] > 0.05) break;
      gap[i] = std::max(gap[i], std::min(view.ends[i], view.starts[i + k]));
    }
  }
  return gap;
}

struct Span {
  std::size_t start;
  std::size_t end;
};

struct Chain {
  double merit = -1e9;
  std::vector<Span> frames;
};

/// The best row of frames of one format, by dynamic programming from left to right.
Chain best_chain(const StripView& view, const std::vector<double>& gap, double ratio) {
  const std::size_t n = view.starts.size();
  const double length = ratio * view.height();
  const auto tolerance = static_cast<std::ptrdiff_t>(std::ceil(kSizeTolerance * length));
  const double worth = kContentWorth / length;
  std::vector<double> best(n + 1, -1e9);
  std::vector<std::size_t> from(n + 1, 0);
  best[0] = 0;
  for (std::size_t i = 0; i < n; ++i) {
    if (best[i] - worth * view.content[i] > best[i + 1]) {
      best[i + 1] = best[i] - worth * view.content[i];
      from[i + 1] = i;
    }
    double end_evidence = -1;
    std::size_t end = 0;
    for (std::ptrdiff_t t = -tolerance; t <= tolerance; ++t) {
      const double at = static_cast<double>(i) + length + static_cast<double>(t);
      if (at < 0 || at >= static_cast<double>(n)) continue;
      const auto k = static_cast<std::size_t>(at);
      const double off =
          static_cast<double>(t) / std::max<double>(1, static_cast<double>(tolerance));
      const double evidence = view.ends[k] - 0.05 * off * off;
      if (evidence > end_evidence) {
        end_evidence = evidence;
        end = k;
      }
    }
    if (end_evidence < -0.5 || end <= i) continue;
    const auto inside = static_cast<std::size_t>(0.08 * length);
    double worst = 0;
    for (std::size_t k = i + inside; k + inside < end; ++k) worst = std::max(worst, gap[k]);
    const double merit = best[i] + view.starts[i] + end_evidence - kFrameCost - kGapInside * worst;
    if (merit > best[end]) {
      best[end] = merit;
      from[end] = i;
    }
  }
  Chain chain;
  chain.merit = best[n];
  for (std::size_t i = n; i > 0; i = from[i]) {
    if (i - from[i] > 1) chain.frames.push_back({from[i], i});
  }
  std::reverse(chain.frames.begin(), chain.frames.end());
  return chain;
}

double median_of(std::vector<double> values) {
  const auto m = values.begin() + static_cast<std::ptrdiff_t>(values.size() / 2);
  std::nth_element(values.begin(), m, values.end());
  return *m;
}

/// Frames between others that nothing shows: where a space is a whole number of pitches.
void fill_by_pitch(std::vector<Span>& frames) {
  if (frames.size() < 3) return;
  std::vector<double> steps;
  for (std::size_t i = 1; i < frames.size(); ++i) {
    steps.push_back(static_cast<double>(frames[i].start - frames[i - 1].start));
  }
  const double pitch = *std::min_element(steps.begin(), steps.end());
  std::vector<Span> all{frames.front()};
  for (std::size_t i = 1; i < frames.size(); ++i) {
    const double pitches = steps[i - 1] / pitch;
    const double whole = std::round(pitches);
    if (whole >= 2 && std::abs(pitches - whole) < 0.04 * whole) {
      const double step = steps[i - 1] / whole;
      for (int k = 1; k < static_cast<int>(whole); ++k) {
        const auto by = static_cast<std::size_t>(std::lround(k * step));
        all.push_back({frames[i - 1].start + by, frames[i - 1].end + by});
      }
    }
    all.push_back(frames[i]);
  }
  frames = std::move(all);
}

/// One end or long side of a frame from the edge points near a place and within the other two.
FrameSide side_near(const std::vector<EdgePoint>& points, const Turn& turn, Side side,
                    double position, double low, double high) {
  constexpr double kNear = 2.5;
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
  if (count < std::max(4.0, 0.03 * (high - low))) return {SideKind::derived, position, 0};
  return {clear > 0.5 * count ? SideKind::rebate : SideKind::mask, median_of(std::move(at)),
          std::min(1.0, count / (high - low))};
}

FrameOutline outline_of(const FrameEdges& edges, const StripView& view, const Span& span) {
  const Turn turn(view.angle);
  const double start = view.first + static_cast<double>(span.start) + 0.5;
  const double end = view.first + static_cast<double>(span.end) + 0.5;
  FrameOutline frame;
  frame.angle_degrees = view.angle;
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
    if (seen(f.side(kLeft)) && seen(f.side(kRight))) {
      lengths.push_back(f.side(kRight).position - f.side(kLeft).position);
    }
  }
  if (lengths.empty()) return;
  const double length = median_of(std::move(lengths));
  for (FrameOutline& f : frames) {
    const bool left = seen(f.side(kLeft));
    const bool right = seen(f.side(kRight));
    if (left && !right) f.side(kRight).position = f.side(kLeft).position + length;
    if (right && !left) f.side(kLeft).position = f.side(kRight).position - length;
  }
}

}  // namespace

StripFrames find_strip_frames(const FilmTones& tones) {
  StripFrames strip;
  const CellWindow window{0, 0, tones.width, tones.height};
  const FrameEdges edges = find_edges(tones, window);
  const double angle = find_angle(edges);
  const auto band = picture_band(edges, Turn(angle), window);
  if (!band) return strip;
  const StripView view = view_along(edges, angle, *band, window);
  const std::vector<double> gap = gaps_in(view);

  Chain best;
  for (const StripFormat& format : kStripFormats) {
    Chain chain = best_chain(view, gap, format.ratio);
    chain.merit -= format.reluctance;
    if (chain.merit > best.merit) best = std::move(chain);
  }
  fill_by_pitch(best.frames);
  for (const Span& span : best.frames) strip.frames.push_back(outline_of(edges, view, span));
  complete_lengths(strip.frames);
  for (std::size_t i = 1; i < strip.frames.size(); ++i) {
    strip.gap_evidence +=
        strip.frames[i - 1].side(kRight).evidence + strip.frames[i].side(kLeft).evidence;
  }
  if (strip.frames.size() > 1) strip.gap_evidence /= static_cast<double>(strip.frames.size() - 1);
  return strip;
}

}  // namespace basefog
