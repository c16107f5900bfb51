// SPDX-License-Identifier: GPL-3.0-or-later
#include "area/film_cuts.hpp"

#include <algorithm>
#include <cmath>
#include <opencv2/imgproc.hpp>
#include <optional>
#include <vector>

namespace basefog::area {
namespace {

/// What fills so much of its least rectangle is one piece (judgement).
constexpr double kOnePiece = 0.985;
/// A cut must fill the rectangles so much better, as a share (judgement).
constexpr double kLeastGain = 0.012;
/// No part is smaller than this share of what was cut, nor so much longer than wide: a strip of 35
/// mm is at most seven times as long, what a row of sprocket holes at a scan's border leaves is
/// more; and smaller pieces, in cells, are not cut at all (judgement).
constexpr double kLeastPart = 0.04;
constexpr double kLongest = 9;
constexpr double kLeastCells = 400;
/// How far an outline may be off its corners' polygon, cells: more than cells' steps and rough
/// cuts, less than a margin of film (judgement).
constexpr double kRough = 2;
/// Corners that point inwards by more than this, degrees, with edges no shorter than that, cells.
constexpr double kLeastTurn = 20;
constexpr double kLeastEdge = 4;
/// Corners that are tried: a piece with more is no film.
constexpr std::size_t kMostCorners = 14;
/// Cuts made on a scan: more than strips on a sheet.
constexpr int kMostCuts = 40;

struct Corner {
  cv::Point2d at;
  cv::Point2d on;    ///< the edge before it, carried on: a unit vector
  cv::Point2d back;  ///< the edge after it, carried on backwards
};

double length(const cv::Point2d& p) { return std::hypot(p.x, p.y); }

/// Corners of the film that point inwards, on its outline and on those of what it encloses.
std::vector<Corner> inward_corners(const cv::Mat1b& film) {
  std::vector<std::vector<cv::Point>> contours;
  cv::findContours(film.clone(), contours, cv::RETR_CCOMP, cv::CHAIN_APPROX_NONE);
  std::vector<std::pair<double, Corner>> found;
  for (const std::vector<cv::Point>& contour : contours) {
    std::vector<cv::Point> polygon;
    cv::approxPolyDP(contour, polygon, kRough, true);
    const std::size_t n = polygon.size();
    if (n < 3) continue;
    for (std::size_t i = 0; i < n; ++i) {
      const cv::Point2d at = polygon[i];
      const cv::Point2d in = at - cv::Point2d(polygon[(i + n - 1) % n]);
      const cv::Point2d out = cv::Point2d(polygon[(i + 1) % n]) - at;
      if (std::min(length(in), length(out)) < kLeastEdge) continue;
      // Film lies on one side of outlines and of holes' alike, as findContours runs around them.
      const double turn = std::atan2(in.cross(out), in.dot(out)) * 180 / CV_PI;
      if (turn < kLeastTurn) continue;
      found.push_back(
          {std::min(length(in), length(out)), {at, in / length(in), -out / length(out)}});
    }
  }
  std::sort(found.begin(), found.end(),
            [](const auto& a, const auto& b) { return a.first > b.first; });
  if (found.size() > kMostCorners) found.resize(kMostCorners);
  std::vector<Corner> out;
  for (const auto& f : found) out.push_back(f.second);
  return out;
}

struct Cut {
  cv::Point from;
  cv::Point to;
};

bool film_at(const cv::Mat1b& film, const cv::Point2d& p) {
  const cv::Point cell(cvRound(p.x), cvRound(p.y));
  return cv::Rect(0, 0, film.cols, film.rows).contains(cell) && film(cell) != 0;
}

/// From a corner onwards to where the film ends.
std::optional<Cut> cut_along(const cv::Mat1b& film, const cv::Point2d& from,
                             const cv::Point2d& direction) {
  constexpr double kInto = 3;  // cells: the corner itself is rough
  double reach = 1;
  while (reach < kInto || film_at(film, from + reach * direction)) {
    if (reach > film.cols + film.rows) break;
    reach += 1;
  }
  if (reach <= kInto) return std::nullopt;
  const cv::Point2d before = from - direction;
  const cv::Point2d to = from + reach * direction;
  return Cut{{cvRound(before.x), cvRound(before.y)}, {cvRound(to.x), cvRound(to.y)}};
}

void make(cv::Mat1b& film, const Cut& cut) {
  constexpr int kWidth = 2;  // cells: parts must not hang together at corners
  cv::line(film, cut.from, cut.to, cv::Scalar(0), kWidth, cv::LINE_4);
}

/// How well parts fill their least rectangles, as a share of all; none where a part is none.
std::optional<double> fill_of(const cv::Mat1b& film) {
  cv::Mat1i label;
  cv::Mat1i stats;
  cv::Mat1d centroids;
  const int count = cv::connectedComponentsWithStats(film, label, stats, centroids, 4, CV_32S);
  // The first and last cells of a part on each row are all that its least rectangle rests on.
  std::vector<std::vector<cv::Point>> ends(count);
  for (int y = 0; y < label.rows; ++y) {
    const int* row = label[y];
    for (int x = 0; x < label.cols; ++x) {
      const bool first = x == 0 || row[x - 1] != row[x];
      const bool last = x + 1 == label.cols || row[x + 1] != row[x];
      if (row[x] != 0 && (first || last)) ends[row[x]].emplace_back(x, y);
    }
  }
  constexpr double kCrumb = 40;  // cells that a cut may leave over
  const double all = cv::countNonZero(film);
  double sum = 0;
  for (int i = 1; i < count; ++i) {
    const double area = stats(i, cv::CC_STAT_AREA);
    if (area < kCrumb) continue;
    const cv::Size2f size = cv::minAreaRect(ends[i]).size;
    // From cells' middles to their edges.
    const double wide = std::max(size.width, size.height) + 1;
    const double narrow = std::min(size.width, size.height) + 1;
    if (count > 2 && (area < kLeastPart * all || wide > kLongest * narrow)) return std::nullopt;
    sum += area * std::min(1.0, area / (wide * narrow));
  }
  return sum / all;
}

/// Where the longest straight edge of a piece runs: along the film.
cv::Point2d longest_edge(const cv::Mat1b& film) {
  std::vector<std::vector<cv::Point>> contours;
  cv::findContours(film.clone(), contours, cv::RETR_EXTERNAL, cv::CHAIN_APPROX_NONE);
  cv::Point2d best(1, 0);
  for (const std::vector<cv::Point>& contour : contours) {
    std::vector<cv::Point> polygon;
    cv::approxPolyDP(contour, polygon, kRough, true);
    for (std::size_t i = 0; i < polygon.size(); ++i) {
      const cv::Point2d edge = polygon[(i + 1) % polygon.size()] - polygon[i];
      if (length(edge) > length(best)) best = edge;
    }
  }
  return best / length(best);
}

/// The best cut of one piece, if one is worth it.
std::optional<Cut> best_cut(const cv::Mat1b& piece) {
  // Of cuts nearly alike, one that runs along the film: strips touch by their long sides more often
  // than pairs of them are cut through (judgement).
  constexpr double kAlong = 0.97;  // cosine
  constexpr double kAlongWorth = 0.05;
  const std::optional<double> whole = fill_of(piece);
  if (!whole || *whole > kOnePiece) return std::nullopt;
  const cv::Point2d film = longest_edge(piece);
  const std::vector<Corner> corners = inward_corners(piece);
  std::vector<Cut> cuts;
  for (std::size_t i = 0; i < corners.size(); ++i) {
    for (const cv::Point2d& direction : {corners[i].on, corners[i].back}) {
      if (const auto cut = cut_along(piece, corners[i].at, direction)) cuts.push_back(*cut);
    }
    for (std::size_t k = i + 1; k < corners.size(); ++k) {
      cuts.push_back({corners[i].at, corners[k].at});
    }
  }
  double best_merit = 0;
  std::optional<Cut> best;
  for (const Cut& cut : cuts) {
    cv::Mat1b parts = piece.clone();
    make(parts, cut);
    const std::optional<double> fill = fill_of(parts);
    if (!fill || *fill <= *whole + kLeastGain) continue;
    const cv::Point2d run = cut.to - cut.from;
    const bool along = std::abs(run.dot(film)) > kAlong * length(run);
    const double merit = *fill + (along ? kAlongWorth : 0.0);
    if (merit <= best_merit) continue;
    best_merit = merit;
    best = cut;
  }
  return best;
}

}  // namespace

void cut_film_apart(cv::Mat1b& film) {
  struct Piece {
    cv::Point corner;
    cv::Mat1b film;
  };
  std::vector<Piece> left;
  const auto take_apart = [&](const cv::Point& corner, const cv::Mat1b& whole) {
    cv::Mat1i label;
    cv::Mat1i stats;
    cv::Mat1d centroids;
    const int count = cv::connectedComponentsWithStats(whole, label, stats, centroids, 4, CV_32S);
    for (int i = 1; i < count; ++i) {
      if (stats(i, cv::CC_STAT_AREA) < kLeastCells) continue;
      const cv::Rect box(stats(i, cv::CC_STAT_LEFT), stats(i, cv::CC_STAT_TOP),
                         stats(i, cv::CC_STAT_WIDTH), stats(i, cv::CC_STAT_HEIGHT));
      left.push_back({corner + box.tl(), cv::Mat1b(cv::Mat(label(box) == i))});
    }
  };
  take_apart({0, 0}, film);
  for (int made = 0; made < kMostCuts && !left.empty();) {
    const Piece piece = std::move(left.back());
    left.pop_back();
    const std::optional<Cut> cut = best_cut(piece.film);
    if (!cut) continue;
    cv::Mat1b parts = piece.film.clone();
    make(parts, *cut);
    film(cv::Rect(piece.corner, parts.size())).setTo(0, piece.film & ~parts);
    take_apart(piece.corner, parts);
    ++made;
  }
}

}  // namespace basefog::area
