// SPDX-License-Identifier: GPL-3.0-or-later
#include "area/film_pieces.hpp"

#include <algorithm>
#include <opencv2/imgproc.hpp>

#include "area/film_cuts.hpp"

namespace basefog::area {
namespace {

/// Pieces smaller than this share of the largest are labels, clips or dust: beside a strip of six
/// it is half a frame (judgement).
constexpr double kLeastOfLargest = 1.0 / 12;
/// Cells around a piece that go with it, so that its own edges can be seen.
constexpr int kMargin = 4;

/// What film encloses and is smaller than this share of it are sprocket holes or dust; more is
/// light between pieces (judgement).
constexpr double kLargestHole = 0.004;

/// Film, its sprocket holes filled; pieces that touch are cut apart.
cv::Mat1b film_of(const FilmTones& tones) {
  cv::Mat1b film(tones.height, tones.width);
  for (int y = 0; y < tones.height; ++y) {
    for (int x = 0; x < tones.width; ++x) {
      const AreaKind kind = tones.kind[tones.index(x, y)];
      film(y, x) = kind == AreaKind::picture || kind == AreaKind::clear_film ? 255 : 0;
    }
  }
  // Dust on bare light, and film that touches at a corner.
  const cv::Mat box = cv::getStructuringElement(cv::MORPH_RECT, {3, 3});
  cv::morphologyEx(film, film, cv::MORPH_OPEN, box);
  const double largest = kLargestHole * cv::countNonZero(film);
  std::vector<std::vector<cv::Point>> contours;
  std::vector<cv::Vec4i> nested;
  cv::findContours(film.clone(), contours, nested, cv::RETR_CCOMP, cv::CHAIN_APPROX_SIMPLE);
  for (std::size_t i = 0; i < contours.size(); ++i) {
    const bool hole = nested[i][3] >= 0;
    if (hole && cv::contourArea(contours[i]) < largest) {
      cv::drawContours(film, contours, static_cast<int>(i), cv::Scalar(255), cv::FILLED);
    }
  }
  cut_film_apart(film);
  return film;
}

FilmTones cut_out(const FilmTones& tones, const cv::Mat1i& label, int piece, const cv::Rect& box) {
  FilmTones out = tones;
  out.width = box.width;
  out.height = box.height;
  const std::size_t size = static_cast<std::size_t>(box.area());
  out.density.resize(size);
  out.kind.assign(size, AreaKind::bare_light);
  out.clipped.assign(size, false);
  for (int y = 0; y < box.height; ++y) {
    for (int x = 0; x < box.width; ++x) {
      const std::size_t from = tones.index(box.x + x, box.y + y);
      const std::size_t to = out.index(x, y);
      out.density[to] = tones.density[from];
      out.clipped[to] = tones.clipped[from];
      const bool own = label(box.y + y, box.x + x) == piece;
      if (own || tones.kind[from] == AreaKind::mask) out.kind[to] = tones.kind[from];
    }
  }
  return out;
}

/// Sets how much of its least rectangle a piece of film fills.
void measure_outline(FilmPiece& piece, const cv::Mat1b& film) {
  std::vector<std::vector<cv::Point>> contours;
  cv::findContours(film.clone(), contours, cv::RETR_EXTERNAL, cv::CHAIN_APPROX_NONE);
  for (const std::vector<cv::Point>& contour : contours) {
    const double area = cv::contourArea(contour);
    if (area <= piece.area) continue;
    const cv::Size2f size = cv::minAreaRect(contour).size;
    piece.area = area;
    piece.length = std::max(size.width, size.height);
    piece.width = std::min(size.width, size.height);
  }
}

}  // namespace

double straightness(const std::vector<FilmPiece>& pieces) {
  double film = 0;
  double rectangles = 0;
  for (const FilmPiece& piece : pieces) {
    film += piece.area;
    rectangles += piece.length * piece.width;
  }
  return rectangles > 0 ? film / rectangles : 1;
}

std::vector<FilmPiece> find_pieces(const FilmTones& tones) {
  const cv::Mat1b film = film_of(tones);
  cv::Mat1i label;
  cv::Mat1i stats;
  cv::Mat1d centroids;
  const int count = cv::connectedComponentsWithStats(film, label, stats, centroids, 4, CV_32S);
  int largest = 0;
  for (int i = 1; i < count; ++i) largest = std::max(largest, stats(i, cv::CC_STAT_AREA));
  std::vector<FilmPiece> pieces;
  for (int i = 1; i < count; ++i) {
    if (stats(i, cv::CC_STAT_AREA) < kLeastOfLargest * largest) continue;
    // With a margin, so that the piece's own edges can be seen.
    const cv::Rect box =
        cv::Rect(stats(i, cv::CC_STAT_LEFT) - kMargin, stats(i, cv::CC_STAT_TOP) - kMargin,
                 stats(i, cv::CC_STAT_WIDTH) + 2 * kMargin,
                 stats(i, cv::CC_STAT_HEIGHT) + 2 * kMargin) &
        cv::Rect(0, 0, tones.width, tones.height);
    // Braces: clang before 16 makes no aggregate in place.
    FilmPiece& piece = pieces.emplace_back(FilmPiece{box.x, box.y, cut_out(tones, label, i, box)});
    measure_outline(piece, cv::Mat1b(cv::Mat(label(box) == i)));
  }
  // Reading order: strips that lie one below the other from the top, those side by side from the
  // left.
  std::sort(pieces.begin(), pieces.end(), [](const FilmPiece& a, const FilmPiece& b) {
    const int ay = a.y0 + a.tones.height / 2;
    const int by = b.y0 + b.tones.height / 2;
    const int apart = std::min(a.tones.height, b.tones.height) / 2;
    if (std::abs(ay - by) > apart) return ay < by;
    return a.x0 < b.x0;
  });
  return pieces;
}

FilmTones transposed(const FilmTones& tones) {
  FilmTones out = tones;
  out.width = tones.height;
  out.height = tones.width;
  for (int y = 0; y < tones.height; ++y) {
    for (int x = 0; x < tones.width; ++x) {
      out.density[out.index(y, x)] = tones.density[tones.index(x, y)];
      out.kind[out.index(y, x)] = tones.kind[tones.index(x, y)];
      out.clipped[out.index(y, x)] = tones.clipped[tones.index(x, y)];
    }
  }
  return out;
}

}  // namespace basefog::area
