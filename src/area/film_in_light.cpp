// SPDX-License-Identifier: GPL-3.0-or-later
#include "area/film_in_light.hpp"

#include <algorithm>
#include <cmath>
#include <opencv2/imgproc.hpp>

namespace basefog::area {
namespace {

cv::Mat1b grown(const cv::Mat1b& in, int radius) {
  cv::Mat1b out;
  const cv::Mat box = cv::getStructuringElement(cv::MORPH_RECT, {2 * radius + 1, 2 * radius + 1});
  cv::dilate(in, out, box);
  return out;
}

/// Which cells around an area are looked at: those farther than `inner` and up to `outer` cells.
struct Ring {
  int inner;
  int outer;
};
/// Close by, for scans of whole sheets, where a sprocket hole is two cells from the picture; and
/// farther off, for scans of one frame, where an edge is blurred over more than a cell.
constexpr Ring kRings[] = {{1, 2}, {2, 4}};

/// Shares of the cells around an area that have one tone or another.
struct Neighbours {
  double of_bare = 0;
  double of_clear = 0;
};

/// Of an area that is given within a box.
Neighbours neighbours_of(const FilmTones& tones, const cv::Mat1b& area, const BrightTones& bright,
                         const Ring& ring, const cv::Rect& box) {
  const cv::Mat1b inner = grown(area, ring.inner);
  const cv::Mat1b outer = grown(area, ring.outer);
  double around = 0;
  Neighbours sum;
  for (int y = 0; y < box.height; ++y) {
    for (int x = 0; x < box.width; ++x) {
      const auto i = tones.index(box.x + x, box.y + y);
      if (!outer(y, x) || inner(y, x) || tones.kind[i] == AreaKind::mask) continue;
      around += 1;
      sum.of_bare += std::abs(tones.density[i] - bright.bare) < bright.bare_near ? 1 : 0;
      sum.of_clear += std::abs(tones.density[i] - bright.clear) < bright.clear_near ? 1 : 0;
    }
  }
  return {sum.of_bare / std::max(around, 1.0), sum.of_clear / std::max(around, 1.0)};
}

/// A picture without the parts that hardly anything but light lies around, rulers and labels beside
/// film; all of it where most of it is such parts.
cv::Mat1b on_film(const FilmTones& tones, const cv::Mat1b& picture, const BrightTones& bright,
                  const Ring& ring) {
  constexpr double kMostClear = 0.1;  // of what lies around
  constexpr double kMostlyLight = 0.5;
  constexpr double kLeastPart = 0.01;  // of the picture: less hardly counts, and is much work
  constexpr double kLeastLeft = 0.5;   // of the picture (all judgement)
  const double all = cv::countNonZero(picture);
  cv::Mat1i label;
  cv::Mat1i stats;
  cv::Mat1d centroids;
  const int count = cv::connectedComponentsWithStats(picture, label, stats, centroids, 8, CV_32S);
  cv::Mat1b out = picture.clone();
  for (int i = 1; i < count; ++i) {
    if (stats(i, cv::CC_STAT_AREA) < kLeastPart * all) continue;
    const int more = ring.outer;
    const cv::Rect box =
        cv::Rect(stats(i, cv::CC_STAT_LEFT) - more, stats(i, cv::CC_STAT_TOP) - more,
                 stats(i, cv::CC_STAT_WIDTH) + 2 * more, stats(i, cv::CC_STAT_HEIGHT) + 2 * more) &
        cv::Rect(0, 0, tones.width, tones.height);
    const cv::Mat1b part(cv::Mat(label(box) == i));
    const Neighbours of_part = neighbours_of(tones, part, bright, ring, box);
    if (of_part.of_clear < kMostClear && of_part.of_bare > kMostlyLight) out(box).setTo(0, part);
  }
  return cv::countNonZero(out) < kLeastLeft * all ? picture : out;
}

}  // namespace

bool film_within_light(const FilmTones& tones, const BrightTones& bright) {
  // Of what lies around bare light more than half is clear film, less what edge printing and the
  // holder take; around the picture clear film outweighs bare light, by more than sprocket holes
  // beside it make up (judgement).
  constexpr double kAroundLight = 0.55;
  constexpr double kAroundPicture = 1.25;
  // What is thinner, in cells, is no picture but a sleeve's seam, a ruler's mark, edge printing.
  constexpr int kThin = 5;
  const auto within = [&](double from, double to) {
    return cells_where(tones, [&](std::size_t i) {
      return tones.density[i] >= from && tones.density[i] < to &&
             tones.kind[i] == AreaKind::picture;
    });
  };
  // On a sheet, where much of the scan is light, a clear sleeve is light too.
  constexpr double kMuchLight = 0.25;  // of the scan; rebate beside one frame is less (judgement)
  cv::Mat1b light = within(-10, (bright.bare + bright.clear) / 2);
  const bool much_light =
      cv::countNonZero(light) >= kMuchLight * static_cast<double>(light.total());
  if (!much_light) {
    light = within(-10, bright.bare + bright.bare_near);
  }
  cv::Mat1b picture = within(bright.clear + 2 * bright.clear_near, 10);
  cv::morphologyEx(picture, picture, cv::MORPH_OPEN,
                   cv::getStructuringElement(cv::MORPH_RECT, {kThin, kThin}));
  const cv::Rect whole(0, 0, tones.width, tones.height);
  return std::any_of(std::begin(kRings), std::end(kRings), [&](const Ring& ring) {
    const Neighbours of_light = neighbours_of(tones, light, bright, ring, whole);
    if (of_light.of_clear < kAroundLight) return false;
    const cv::Mat1b film = much_light ? on_film(tones, picture, bright, ring) : picture;
    const Neighbours of_picture = neighbours_of(tones, film, bright, ring, whole);
    return of_picture.of_clear > kAroundPicture * of_picture.of_bare;
  });
}

}  // namespace basefog::area
