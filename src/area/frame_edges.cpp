// SPDX-License-Identifier: GPL-3.0-or-later
#include "area/frame_edges.hpp"

#include <algorithm>
#include <cmath>
#include <numbers>
#include <opencv2/imgproc.hpp>

namespace basefog::area {
namespace {

/// A picture of what counts as content, without what is thinner than a few cells: dust, hairs, the
/// blurred edge of the holder, the strokes of small letters.
cv::Mat1b broad_content(const FilmTones& tones, const CellWindow& w) {
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

/// Lines of cells seen from one side: at(k, i) is the i-th cell of line k counted inwards.
class View {
 public:
  View(const FilmTones& tones, const CellWindow& window, const cv::Mat1b& content, Side side)
      : tones_(tones), window_(window), content_(content), side_(side) {}

  int lines() const { return side_ == kLeft || side_ == kRight ? content_.rows : content_.cols; }
  int depth() const { return side_ == kLeft || side_ == kRight ? content_.cols : content_.rows; }
  bool content(int line, int i) const { return content_(cell(line, i)) != 0; }
  AreaKind kind(int line, int i) const { return tones_.kind[index(line, i)]; }
  double light(int line, int i) const { return std::pow(10.0F, -tones_.density[index(line, i)]); }

  /// Place in cells of the point `inwards` cells deep on the middle of a line.
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
  CellWindow window_;
  const cv::Mat1b& content_;
  Side side_;
};

/// Depth of an edge to a fraction of a cell: each cell on it is a mixture of outer and inner
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

/// The outermost edges of content on each line.
std::vector<EdgePoint> edge_points(const View& view, int most_per_line) {
  std::vector<EdgePoint> points;
  for (int line = 0; line < view.lines(); ++line) {
    int found = 0;
    for (int i = 2; i + 1 < view.depth() && found < most_per_line; ++i) {
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

double sharpness(const FrameEdges& edges, const Turn& turn) {
  double sum = 0;
  for (int s = 0; s < 4; ++s) {
    double best = 0;
    for (double c : edge_profile(edges.points[s], turn, static_cast<Side>(s)).count)
      best = std::max(best, c);
    sum += best * best;
  }
  return sum;
}

}  // namespace

Turn::Turn(double degrees)
    : cosine(std::cos(degrees * std::numbers::pi / 180)),
      sine(std::sin(degrees * std::numbers::pi / 180)) {}

EdgeProfile edge_profile(const std::vector<EdgePoint>& points, const Turn& turn, Side side) {
  EdgeProfile profile;
  if (points.empty()) return profile;
  double low = 1e9;
  double high = -1e9;
  std::vector<double> across;
  across.reserve(points.size());
  for (const EdgePoint& p : points) {
    across.push_back(turn.across(p.x, p.y, side));
    low = std::min(low, across.back());
    high = std::max(high, across.back());
  }
  profile.first = std::floor(low) - 2;
  std::vector<double> raw(static_cast<std::size_t>(high - profile.first) + 4, 0.0);
  for (const double at : across) raw[static_cast<std::size_t>(at - profile.first)] += 1;
  profile.count.assign(raw.size(), 0.0);
  for (std::size_t i = 1; i + 1 < raw.size(); ++i) {
    profile.count[i] = 0.5 * raw[i - 1] + raw[i] + 0.5 * raw[i + 1];
  }
  return profile;
}

double find_angle(const FrameEdges& edges) {
  // Film lies no straighter than a hand puts it down (judgement); in steps of 0.3 degrees, then of
  // 0.06, which is a cell in a thousand.
  constexpr double kMostDegrees = 6.6;
  constexpr int kSteps = 22;
  constexpr int kFineSteps = 5;
  double best = 0;
  constexpr double kRatherStraight = 1.0001;  // of two angles alike none is
  double best_sharpness = sharpness(edges, Turn(0)) * kRatherStraight;
  auto search = [&](double middle, double reach, int steps) {
    for (int i = -steps; i <= steps; ++i) {
      const double a = middle + reach * i / steps;
      const double s = sharpness(edges, Turn(a));
      if (s > best_sharpness) {
        best_sharpness = s;
        best = a;
      }
    }
  };
  search(0, kMostDegrees, kSteps);
  search(best, kMostDegrees / kSteps, kFineSteps);
  return best;
}

Lie find_lie(const FrameEdges& edges, const CellWindow& window) {
  // Film that curls bends its edges by a millimetre or so over a strip of 200 (judgement); twice
  // finer each round, together with the angle, which a bend shifts.
  constexpr double kMostBend = 0.012;  // of the strip's length, at its ends against its middle
  constexpr int kSteps = 3;            // either way
  constexpr int kRounds = 5;
  constexpr double kRatherStraight = 1.01;  // of two alike none is bent
  const double first = find_angle(edges);
  Lie best{first, Turn(first)};
  const double half = window.width() / 2.0;
  best.turn.middle = best.turn.u((window.x0 + window.x1) / 2.0, (window.y0 + window.y1) / 2.0);
  double best_sharpness = kRatherStraight * sharpness(edges, best.turn);
  double bend_step = kMostBend * window.width() / (half * half) / kSteps;
  double angle_step = 0.1;  // degrees
  for (int round = 0; round < kRounds; ++round) {
    const Lie around = best;
    for (int b = -kSteps; b <= kSteps; ++b) {
      for (int a = -kSteps; a <= kSteps; ++a) {
        Lie lie{around.degrees + a * angle_step, Turn(around.degrees + a * angle_step)};
        lie.turn.middle = around.turn.middle;
        lie.turn.bend = around.turn.bend + b * bend_step;
        const double s = sharpness(edges, lie.turn);
        if (s <= best_sharpness) continue;
        best_sharpness = s;
        best = lie;
      }
    }
    bend_step /= 2;
    angle_step /= 2;
  }
  return best;
}

FrameEdges find_edges(const FilmTones& tones, const CellWindow& window, int most_along) {
  FrameEdges edges;
  edges.content = broad_content(tones, window);
  for (const Side side : {kLeft, kRight, kTop, kBottom}) {
    const View view(tones, window, edges.content, side);
    edges.points[side] = edge_points(view, upright(side) ? most_along : kMostEdges);
    for (int line = 0; line < view.lines(); ++line) {
      // A scan may be a single cell deep.
      const int second = std::min(1, view.depth() - 1);
      edges.touching[side] += view.content(line, 0) || view.content(line, second) ? 1 : 0;
    }
  }
  return edges;
}

}  // namespace basefog::area
