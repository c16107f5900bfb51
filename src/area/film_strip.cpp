// SPDX-License-Identifier: GPL-3.0-or-later
#include "area/film_strip.hpp"

#include <algorithm>
#include <cmath>
#include <optional>

#include "numeric/quantile.hpp"

namespace basefog::area {
namespace {

double count_at(const EdgeProfile& profile, double position) {
  const auto i = static_cast<std::ptrdiff_t>(std::floor(position - profile.first));
  return i >= 0 && i < static_cast<std::ptrdiff_t>(profile.count.size()) ? profile.count[i] : 0.0;
}

/// From one long edge of the pictures to the other, across.
struct Band {
  double top;
  double bottom;
  double height() const { return bottom - top; }
};

/// Long edges tried a side: pictures' own, perforations, edge printing, the film's end (judgement).
constexpr std::size_t kMostLongEdges = 8;
/// Points that make a line of edges; fewer lie on one by chance (judgement).
constexpr double kLeastPoints = 5;
/// Edges looked at on a line along the film: frames have two each, and pictures some of their own.
constexpr int kMostEdgesAlong = 24;

struct Peak {
  double position;
  double count;
};

/// The strongest lines of edges within a part of the film, across.
std::vector<Peak> peaks_of(const EdgeProfile& profile, const Band& part, std::size_t most) {
  std::vector<Peak> out;
  for (std::size_t i = 1; i + 1 < profile.count.size(); ++i) {
    const double c = profile.count[i];
    if (c < kLeastPoints || c < profile.count[i - 1] || c <= profile.count[i + 1]) continue;
    const double at = profile.first + static_cast<double>(i) + 0.5;
    if (at > part.top && at < part.bottom) out.push_back({at, c});
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

/// Content by position across, and its sum up to a position.
class ContentAcross {
 public:
  ContentAcross(const FrameEdges& edges, const Turn& turn, const CellWindow& window)
      : low_(std::min(turn.v(0, 0), turn.v(window.x1, 0)) - 1) {
    const double high = std::max(turn.v(0, window.y1), turn.v(window.x1, window.y1)) + 1;
    content_ = content_across(edges, turn, low_, static_cast<std::size_t>(high - low_) + 1);
    sum_.push_back(0);
    for (const double c : content_) sum_.push_back(sum_.back() + c);
  }

  Band whole() const { return {low_, low_ + static_cast<double>(content_.size())}; }
  double within(const Band& band) const { return up_to(band.bottom) - up_to(band.top); }

  /// Thrice the share of the rows along both edges of a band that hold hardly any picture: between
  /// pictures and edge printing lies clear film, within pictures it does not run along all of them.
  double empty_edges(const Band& band) const {
    constexpr double kEdge = 0.3;  // of the band's height: more would be the middle of pictures
    constexpr double kHardlyAny = 0.25;  // of what the middle holds (both judgement)
    const auto row = [&](double v) {
      return std::clamp<std::ptrdiff_t>(std::lround(v - low_), 0, std::ssize(content_) - 1);
    };
    const std::ptrdiff_t top = row(band.top);
    const std::ptrdiff_t bottom = row(band.bottom);
    const auto edge = static_cast<std::ptrdiff_t>(kEdge * band.height());
    if (edge < 2 || bottom - top < 4 * edge) return 0;
    std::vector<double> middle(content_.begin() + top + edge, content_.begin() + bottom - edge);
    const double least = kHardlyAny * numeric::median(std::move(middle));
    int empty = 0;
    for (std::ptrdiff_t i = 1; i < edge; ++i) {
      empty += (content_[top + i] < least ? 1 : 0) + (content_[bottom - i] < least ? 1 : 0);
    }
    return 3 * empty / (2.0 * static_cast<double>(edge - 1));
  }

  /// Parts with content that lie clearly apart and are about equally high: strips that touch.
  std::vector<Band> parts() const {
    const double full = *std::max_element(content_.begin(), content_.end());
    std::vector<Band> out;
    for (std::size_t i = 0; i < content_.size(); ++i) {
      if (content_[i] < kEmpty * full) continue;
      const double at = low_ + static_cast<double>(i);
      if (out.empty() || at - out.back().bottom > kLeastApart) out.push_back({at, at});
      out.back().bottom = at + 1;
    }
    double highest = 0;
    for (const Band& part : out) highest = std::max(highest, part.height());
    std::erase_if(out, [&](const Band& part) { return part.height() < kLeastHeight * highest; });
    const bool even = std::all_of(out.begin(), out.end(), [&](const Band& part) {
      return part.height() > kAsHigh * highest;
    });
    if (out.size() < 2 || !even) return {whole()};
    // Each with the half of what lies between.
    for (std::size_t i = 1; i < out.size(); ++i) {
      out[i - 1].bottom = out[i].top = (out[i - 1].bottom + out[i].top) / 2;
    }
    out.front().top = whole().top;
    out.back().bottom = whole().bottom;
    return out;
  }

 private:
  static constexpr double kEmpty = 0.12;       // edge printing is content too
  static constexpr double kLeastApart = 3;     // cells
  static constexpr double kLeastHeight = 0.3;  // of the highest: less is printing
  static constexpr double kAsHigh = 0.85;      // strips of one holder are (all judgement)

  double up_to(double v) const {
    return sum_[static_cast<std::size_t>(
        std::clamp(v - low_, 0.0, static_cast<double>(content_.size())))];
  }
  double low_;
  std::vector<double> content_;
  std::vector<double> sum_;
};

/// How much speaks against a band of another height than is known.
double misfit(const Band& band, const std::optional<double>& height) {
  constexpr double kTolerance = 0.01;  // in ln: one camera's frames, found to a cell (judgement)
  constexpr double kWeight = 0.1;      // 3 % off costs as much as an edge that is not seen
  constexpr double kMost = 2;          // two edges seen whole
  if (!height) return 0;
  const double off = std::log(band.height() / *height) / kTolerance;
  return std::min(kMost, kWeight * off * off);
}

/// The two long edges of the pictures within a part of the film: many edge points on a line, hardly
/// any content beyond.
std::optional<Band> picture_band(const FrameEdges& edges, const Turn& turn,
                                 const ContentAcross& content, const Band& part, double width,
                                 const std::optional<double>& height) {
  const double all = content.within(part);
  std::optional<Band> best;
  // Less merit than this, of two edges seen whole, is no band; bands lower than two fifths are a
  // part of a picture; content outside counts four times its share of all (judgement).
  constexpr double kLeastMerit = 0.2;
  constexpr double kLeastPart = 0.4;
  constexpr double kOutsideWeight = 4;
  double best_merit = kLeastMerit;
  const std::vector<Peak> bottoms =
      peaks_of(edge_profile(edges.points[kBottom], turn, kBottom), part, kMostLongEdges);
  for (const Peak& top :
       peaks_of(edge_profile(edges.points[kTop], turn, kTop), part, kMostLongEdges)) {
    for (const Peak& bottom : bottoms) {
      if (bottom.position - top.position < kLeastPart * part.height()) continue;
      const double outside = all - content.within({top.position - 1, bottom.position + 1});
      const Band band{top.position, bottom.position};
      const double merit = (top.count + bottom.count) / (2.0 * width) -
                           kOutsideWeight * outside / std::max(all, 1.0) -
                           content.empty_edges(band) - misfit(band, height);
      if (merit > best_merit) {
        best_merit = merit;
        best = band;
      }
    }
  }
  return best;
}

StripView view_along(const FrameEdges& edges, double angle, const Band& band,
                     const CellWindow& window) {
  const Turn turn(angle);
  StripView view;
  view.angle = angle;
  view.top = band.top;
  view.bottom = band.bottom;
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
  const double length = numeric::median(std::move(lengths));
  for (FrameOutline& f : frames) {
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

}  // namespace

std::vector<StripFrames> find_strips(const FilmTones& tones, const StripWish& wish) {
  std::vector<StripFrames> strips;
  const CellWindow window{0, 0, tones.width, tones.height};
  const FrameEdges edges = find_edges(tones, window, kMostEdgesAlong);
  const double angle = find_angle(edges);
  const Turn turn(angle);
  const ContentAcross content(edges, turn, window);
  for (const Band& part : content.parts()) {
    std::optional<Band> band =
        picture_band(edges, turn, content, part, window.width(), wish.height);
    // The hint says that there are frames: the whole part is taken.
    if (!band && wish.frames) band = part;
    if (!band) continue;
    const StripView view = view_along(edges, angle, *band, window);
    StripFrames strip;
    for (const Span& span : find_chain(view, wish)) {
      strip.frames.push_back(outline_of(edges, view, span));
    }
    if (strip.frames.empty()) continue;
    complete_lengths(strip.frames);
    strip.gap_evidence = gap_evidence(strip.frames);
    strips.push_back(std::move(strip));
  }
  return strips;
}

}  // namespace basefog::area
