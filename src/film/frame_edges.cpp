// SPDX-License-Identifier: GPL-3.0-or-later
#include "film/frame_edges.hpp"

#include <algorithm>
#include <cmath>
#include <numbers>
#include <opencv2/imgproc.hpp>

namespace basefog {
namespace {

/// Ratios of the long to the short side of the picture in common formats: 24x36 and 6x9, half
/// frame, 4.5x6, 6x6, 6x7, sheet film, panoramic; with how readily each is assumed, 0 best.
struct Format {
  double ratio;
  double reluctance;
};
constexpr Format kFormats[] = {{1.5, 0.0},  {1.0, 0.4},  {4.0 / 3.0, 0.4}, {1.35, 0.4},
                               {1.22, 0.4}, {1.26, 0.5}, {2.7, 0.9},       {2.15, 0.9}};

/// Where content begins, seen from one side.
struct EdgePoint {
  double x;  ///< block coordinates of the edge
  double y;
  bool clear;  ///< against clear film
};

enum Side { kLeft, kRight, kTop, kBottom };

/// A picture of what counts as content, without what is thinner than a few cells: dust, hairs, the
/// blurred edge of the holder, the strokes of small letters.
cv::Mat1b broad_content(const FilmTones& tones, const BlockWindow& w) {
  cv::Mat1b in(w.y1 - w.y0, w.x1 - w.x0);
  for (int y = 0; y < in.rows; ++y) {
    for (int x = 0; x < in.cols; ++x) in(y, x) = tones.content(w.x0 + x, w.y0 + y) ? 255 : 0;
  }
  const int thin = std::max(in.rows, in.cols) > 500 ? 5 : 3;
  const cv::Mat box = cv::getStructuringElement(cv::MORPH_RECT, {thin, thin});
  cv::copyMakeBorder(in, in, thin, thin, thin, thin, cv::BORDER_CONSTANT, cv::Scalar(0));
  cv::morphologyEx(in, in, cv::MORPH_OPEN, box);
  return in(cv::Rect(thin, thin, w.x1 - w.x0, w.y1 - w.y0)).clone();
}

/// Lines of blocks seen from one side: at(k, i) is the i-th block of line k counted inwards.
class View {
 public:
  View(const FilmTones& tones, const BlockWindow& window, const cv::Mat1b& content, Side side)
      : tones_(tones), window_(window), content_(content), side_(side) {}

  int lines() const { return side_ == kLeft || side_ == kRight ? content_.rows : content_.cols; }
  int depth() const { return side_ == kLeft || side_ == kRight ? content_.cols : content_.rows; }
  bool content(int line, int i) const { return content_(cell(line, i)) != 0; }
  AreaKind kind(int line, int i) const { return tones_.kind[index(line, i)]; }
  double light(int line, int i) const { return std::pow(10.0F, -tones_.density[index(line, i)]); }

  /// Block coordinates of the point `inwards` blocks deep on the middle of a line.
  cv::Point2d point(int line, double inwards) const {
    const double along = line + 0.5;
    switch (side_) {
      case kLeft:
        return {window_.x0 + inwards, window_.y0 + along};
      case kRight:
        return {window_.x1 - inwards, window_.y0 + along};
      case kTop:
        return {window_.x0 + along, window_.y0 + inwards};
      case kBottom:
        break;
    }
    return {window_.x0 + along, window_.y1 - inwards};
  }

 private:
  cv::Point cell(int line, int i) const {
    switch (side_) {
      case kLeft:
        return {i, line};
      case kRight:
        return {content_.cols - 1 - i, line};
      case kTop:
        return {line, i};
      case kBottom:
        break;
    }
    return {line, content_.rows - 1 - i};
  }
  std::size_t index(int line, int i) const {
    const cv::Point p = cell(line, i);
    return static_cast<std::size_t>(window_.y0 + p.y) * tones_.width + window_.x0 + p.x;
  }

  const FilmTones& tones_;
  BlockWindow window_;
  const cv::Mat1b& content_;
  Side side_;
};

/// Depth of an edge to a fraction of a block: each block on it is a mixture of outer and inner
/// light, and the shares add up to where the edge is.
double depth_of_edge(const View& view, int line, int first_content) {
  const int inner = std::min(first_content + 2, view.depth() - 1);
  const int outer = std::max(first_content - 3, 0);
  const double light_in = view.light(line, inner);
  const double light_out = view.light(line, outer);
  if (std::abs(light_in - light_out) < 1e-9) return first_content;
  double inside = 0;
  for (int i = outer + 1; i < inner; ++i) {
    inside += std::clamp((light_out - view.light(line, i)) / (light_out - light_in), 0.0, 1.0);
  }
  return inner - inside;
}

/// The outermost edges of content on each line, a few per line: edge printing may come first.
std::vector<EdgePoint> edge_points(const View& view) {
  constexpr int kMostPerLine = 4;
  std::vector<EdgePoint> points;
  for (int line = 0; line < view.lines(); ++line) {
    int found = 0;
    for (int i = 2; i + 1 < view.depth() && found < kMostPerLine; ++i) {
      if (!view.content(line, i) || !view.content(line, i + 1) || view.content(line, i - 1) ||
          view.content(line, i - 2)) {
        continue;
      }
      const cv::Point2d p = view.point(line, depth_of_edge(view, line, i));
      points.push_back({p.x, p.y, view.kind(line, i - 2) == AreaKind::clear_film});
      ++found;
    }
  }
  return points;
}

struct Turn {
  double cosine;
  double sine;
  explicit Turn(double degrees)
      : cosine(std::cos(degrees * std::numbers::pi / 180)),
        sine(std::sin(degrees * std::numbers::pi / 180)) {}
  double u(double x, double y) const { return x * cosine - y * sine; }
  double v(double x, double y) const { return x * sine + y * cosine; }
};

double across(const EdgePoint& p, const Turn& turn, Side side) {
  return side == kLeft || side == kRight ? turn.u(p.x, p.y) : turn.v(p.x, p.y);
}

using EdgeSet = std::array<std::vector<EdgePoint>, 4>;

/// Counts of edge points by position across, one bin a block, smoothed over three.
struct Profile {
  double first = 0;
  std::vector<double> count;
};

Profile profile_of(const std::vector<EdgePoint>& points, const Turn& turn, Side side) {
  Profile profile;
  if (points.empty()) return profile;
  double low = 1e9;
  double high = -1e9;
  for (const EdgePoint& p : points) {
    low = std::min(low, across(p, turn, side));
    high = std::max(high, across(p, turn, side));
  }
  profile.first = std::floor(low) - 2;
  std::vector<double> raw(static_cast<std::size_t>(high - profile.first) + 4, 0.0);
  for (const EdgePoint& p : points) {
    raw[static_cast<std::size_t>(across(p, turn, side) - profile.first)] += 1;
  }
  profile.count.assign(raw.size(), 0.0);
  for (std::size_t i = 1; i + 1 < raw.size(); ++i) {
    profile.count[i] = 0.5 * raw[i - 1] + raw[i] + 0.5 * raw[i + 1];
  }
  return profile;
}

double sharpness(const EdgeSet& edges, double degrees) {
  const Turn turn(degrees);
  double sum = 0;
  for (int s = 0; s < 4; ++s) {
    double best = 0;
    for (double c : profile_of(edges[s], turn, static_cast<Side>(s)).count)
      best = std::max(best, c);
    sum += best * best;
  }
  return sum;
}

/// The angle at which the edges fall best into straight lines.
double find_angle(const EdgeSet& edges) {
  constexpr double kMostDegrees = 4.5;
  double best = 0;
  double best_sharpness = sharpness(edges, 0) * 1.0001;
  auto search = [&](double from, double to, double step) {
    for (double a = from; a <= to + 1e-9; a += step) {
      const double s = sharpness(edges, a);
      if (s > best_sharpness) {
        best_sharpness = s;
        best = a;
      }
    }
  };
  search(-kMostDegrees, kMostDegrees, 0.3);
  const double coarse = best;
  search(coarse - 0.3, coarse + 0.3, 0.06);
  return best;
}

struct Candidate {
  double position;
  double count;  ///< edge points on the line, or content along the border
  SideKind kind;
};

/// Lines on which many edges lie, strongest first, and the border where content reaches it.
std::vector<Candidate> candidates_of(const EdgeSet& edges, const Turn& turn, Side side,
                                     const View& view) {
  constexpr std::size_t kMost = 6;
  std::vector<Candidate> out;
  const Profile profile = profile_of(edges[side], turn, side);
  const double least = std::max(5.0, 0.02 * view.lines());
  for (std::size_t i = 1; i + 1 < profile.count.size(); ++i) {
    const double c = profile.count[i];
    if (c < least || c < profile.count[i - 1] || c <= profile.count[i + 1]) continue;
    double sum = 0;
    double n = 0;
    double clear = 0;
    const double middle = profile.first + static_cast<double>(i) + 0.5;
    for (const EdgePoint& p : edges[side]) {
      const double at = across(p, turn, side);
      if (std::abs(at - middle) > 1.5) continue;
      sum += at;
      n += 1;
      clear += p.clear ? 1 : 0;
    }
    out.push_back({sum / n, n, clear > 0.5 * n ? SideKind::rebate : SideKind::mask});
  }
  std::sort(out.begin(), out.end(),
            [](const Candidate& a, const Candidate& b) { return a.count > b.count; });
  if (out.size() > kMost) out.resize(kMost);

  double touching = 0;
  for (int line = 0; line < view.lines(); ++line) {
    touching += view.content(line, 0) || view.content(line, 1) ? 1 : 0;
  }
  if (touching > least) {
    // The border of the scan is not turned with the frame: stay inside it over the whole side.
    const double lean = std::abs(turn.sine) * view.lines() / 2;
    const cv::Point2d p = view.point(view.lines() / 2, 0);
    const double at = across({p.x, p.y, false}, turn, side);
    out.push_back(
        {side == kLeft || side == kTop ? at + lean : at - lean, touching, SideKind::border});
  }
  return out;
}

/// Content summed over turned rectangles.
class ContentSum {
 public:
  ContentSum(const cv::Mat1b& content, const BlockWindow& w, double degrees) {
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

/// How far a frame is from every format; where a side was derived from a format, how readily.
double format_misfit(double width, double height, bool derived) {
  const double ratio = std::max(width, height) / std::min(width, height);
  double least = 1.5;
  for (const Format& format : kFormats) {
    const double off = std::log(ratio / format.ratio) / 0.02;
    least = std::min(least, 0.1 * off * off + (derived ? format.reluctance : 0.0));
  }
  return least;
}

/// A scan of one frame is mostly frame: how much that speaks against a small one.
constexpr double kFillWeight = 3;

/// How well four sides explain what is seen; more is better.
double merit(const std::array<Candidate, 4>& side, const ContentSum& content, double window_area) {
  const double width = side[kRight].position - side[kLeft].position;
  const double height = side[kBottom].position - side[kTop].position;
  if (width < 8 || height < 8) return -1e9;
  double merit = kFillWeight * width * height / window_area;
  bool whole = true;
  bool derived = false;
  for (int s = 0; s < 4; ++s) {
    const double length = s == kLeft || s == kRight ? height : width;
    merit += std::min(1.0, 2.0 * side[s].count / length);
    derived = derived || side[s].kind == SideKind::derived;
    whole = whole && (side[s].kind == SideKind::rebate || side[s].kind == SideKind::derived);
  }
  if (whole) merit -= format_misfit(width, height, derived);
  const double outside =
      content.all() - content.inside(side[kLeft].position - 1, side[kTop].position - 1,
                                     side[kRight].position + 1, side[kBottom].position + 1);
  return merit - 50 * outside / window_area;
}

/// The best of a side left open: where the known formats put it.
std::vector<Candidate> derived_from(double opposite, double other_length, int direction,
                                    double window_low, double window_high) {
  std::vector<Candidate> out;
  for (const Format& format : kFormats) {
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
std::vector<std::pair<double, double>> sizes_from_corner(double x, const Extent& u, double y,
                                                         const Extent& v) {
  const double most_width = (u.high - u.low) - 2 * std::min(x - u.low, u.high - x);
  const double most_height = (v.high - v.low) - 2 * std::min(y - v.low, v.high - y);
  std::vector<std::pair<double, double>> out;
  for (const Format& format : kFormats) {
    for (double ratio : {format.ratio, 1 / format.ratio}) {
      const double width = std::min(most_width, most_height * ratio);
      out.emplace_back(width, width / ratio);
    }
  }
  return out;
}

std::array<Candidate, 4> best_sides(const std::array<std::vector<Candidate>, 4>& all,
                                    const ContentSum& content, const Extent& u, const Extent& v,
                                    double window_area) {
  std::array<Candidate, 4> best{{{u.low, 0, SideKind::border},
                                 {u.high, 0, SideKind::border},
                                 {v.low, 0, SideKind::border},
                                 {v.high, 0, SideKind::border}}};
  double best_merit = -1e8;
  auto consider = [&](const std::array<Candidate, 4>& sides) {
    const double m = merit(sides, content, window_area);
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
        for (const Candidate& b : derived_from(t.position, width, 1, v.low, v.high)) {
          consider({l, r, t, b});
        }
      }
      for (const Candidate& b : all[kBottom]) {
        for (const Candidate& t : derived_from(b.position, width, -1, v.low, v.high)) {
          consider({l, r, t, b});
        }
      }
    }
  }
  for (const Candidate& t : all[kTop]) {
    for (const Candidate& b : all[kBottom]) {
      const double height = b.position - t.position;
      for (const Candidate& l : all[kLeft]) {
        for (const Candidate& r : derived_from(l.position, height, 1, u.low, u.high)) {
          consider({l, r, t, b});
        }
      }
      for (const Candidate& r : all[kRight]) {
        for (const Candidate& l : derived_from(r.position, height, -1, u.low, u.high)) {
          consider({l, r, t, b});
        }
      }
    }
  }
  for (const bool left : {true, false}) {
    for (const bool top : {true, false}) {
      for (const Candidate& x : all[left ? kLeft : kRight]) {
        for (const Candidate& y : all[top ? kTop : kBottom]) {
          for (const auto& [width, height] : sizes_from_corner(x.position, u, y.position, v)) {
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
std::optional<double> lean_of(const std::vector<EdgePoint>& points, const Turn& turn, Side side,
                              double position) {
  std::vector<std::pair<double, double>> on;  // along, across
  for (const EdgePoint& p : points) {
    const double at = across(p, turn, side);
    const double along = side == kLeft || side == kRight ? turn.v(p.x, p.y) : turn.u(p.x, p.y);
    if (std::abs(at - position) < 2.5) on.emplace_back(along, at);
  }
  if (on.size() < 20) return std::nullopt;
  std::sort(on.begin(), on.end());
  std::vector<double> slopes;
  const std::size_t half = on.size() / 2;
  for (std::size_t i = 0; i + half < on.size(); ++i) {
    const double along = on[i + half].first - on[i].first;
    if (along > 10) slopes.push_back((on[i + half].second - on[i].second) / along);
  }
  if (slopes.size() < 10) return std::nullopt;
  std::nth_element(slopes.begin(), slopes.begin() + slopes.size() / 2, slopes.end());
  const double slope = std::atan(slopes[slopes.size() / 2]) * 180 / std::numbers::pi;
  // A frame turned further by d shows du/dv = tan d on its upright sides, dv/du = -tan d on the
  // others.
  return side == kLeft || side == kRight ? slope : -slope;
}

double median_position(const std::vector<EdgePoint>& points, const Turn& turn, Side side,
                       double position) {
  std::vector<double> at;
  for (const EdgePoint& p : points) {
    const double a = across(p, turn, side);
    if (std::abs(a - position) < 2.0) at.push_back(a);
  }
  if (at.empty()) return position;
  std::nth_element(at.begin(), at.begin() + at.size() / 2, at.end());
  return at[at.size() / 2];
}

}  // namespace

FoundFrame find_frame(const FilmTones& tones, const BlockWindow& window) {
  const cv::Mat1b content = broad_content(tones, window);
  std::vector<View> views;
  EdgeSet edges;
  for (int s = 0; s < 4; ++s) {
    views.emplace_back(tones, window, content, static_cast<Side>(s));
    edges[s] = edge_points(views.back());
  }
  FoundFrame frame;
  frame.angle_degrees = find_angle(edges);
  const double window_area = static_cast<double>(window.x1 - window.x0) * (window.y1 - window.y0);

  std::array<Candidate, 4> sides;
  for (int round = 0; round < 2; ++round) {
    const Turn turn(frame.angle_degrees);
    std::array<std::vector<Candidate>, 4> candidates;
    for (int s = 0; s < 4; ++s) {
      candidates[s] = candidates_of(edges, turn, static_cast<Side>(s), views[s]);
    }
    const double cx = (window.x0 + window.x1) / 2.0;
    const double cy = (window.y0 + window.y1) / 2.0;
    const Extent u{turn.u(cx, cy) - (window.x1 - window.x0) / 2.0,
                   turn.u(cx, cy) + (window.x1 - window.x0) / 2.0};
    const Extent v{turn.v(cx, cy) - (window.y1 - window.y0) / 2.0,
                   turn.v(cx, cy) + (window.y1 - window.y0) / 2.0};
    sides =
        best_sides(candidates, ContentSum(content, window, frame.angle_degrees), u, v, window_area);
    // A better angle from the sides that were seen, each as sure as it is long.
    double sum = 0;
    double weight = 0;
    for (int s = 0; s < 4; ++s) {
      if (sides[s].kind != SideKind::rebate && sides[s].kind != SideKind::mask) continue;
      const auto lean = lean_of(edges[s], turn, static_cast<Side>(s), sides[s].position);
      if (!lean || std::abs(*lean) > 1) continue;
      const double w = sides[s].count * sides[s].count;
      sum += w * *lean;
      weight += w;
    }
    if (round == 0 && weight > 0) frame.angle_degrees += sum / weight;
  }

  const Turn turn(frame.angle_degrees);
  const double width = sides[kRight].position - sides[kLeft].position;
  const double height = sides[kBottom].position - sides[kTop].position;
  FrameSide* out[] = {&frame.left, &frame.right, &frame.top, &frame.bottom};
  for (int s = 0; s < 4; ++s) {
    const bool seen = sides[s].kind == SideKind::rebate || sides[s].kind == SideKind::mask;
    out[s]->kind = sides[s].kind;
    out[s]->position =
        seen ? median_position(edges[s], turn, static_cast<Side>(s), sides[s].position)
             : sides[s].position;
    out[s]->evidence = std::min(1.0, sides[s].count / (s == kLeft || s == kRight ? height : width));
  }
  return frame;
}

}  // namespace basefog
