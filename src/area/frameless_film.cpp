// SPDX-License-Identifier: GPL-3.0-or-later
#include "area/frameless_film.hpp"

#include <algorithm>
#include <opencv2/imgproc.hpp>
#include <optional>

#include "numeric/quantile.hpp"

namespace basefog::area {
namespace {

/// Of a frame's area: less is edge printing, a label, what a frame's outline leaves over
/// (judgement).
constexpr double kLeastOfFrame = 1.0 / 6;
/// Of what lies around it, so much is clear film (judgement).
constexpr double kLeastClear = 0.2;
/// Cells by which frames are widened, by which what is thin falls away, and that count as around.
constexpr double kBeyond = 2;
constexpr int kThin = 5;
constexpr int kAround = 4;
/// What lies between two parts of one strip is film, but for sprocket holes and dust, and no wider
/// than they are (judgement).
constexpr double kMostlyFilm = 0.95;
constexpr double kAsWide = 1.25;

cv::Mat1b box(int side) { return cv::getStructuringElement(cv::MORPH_RECT, {side, side}); }

FrameRegion region_of(const cv::RotatedRect& rect, double cell_side) {
  // OpenCV turns clockwise as seen.
  FrameRegion out{(rect.center.x + 0.5) * cell_side, (rect.center.y + 0.5) * cell_side,
                  (rect.size.width + 1) * cell_side, (rect.size.height + 1) * cell_side,
                  -rect.angle};
  while (out.angle_degrees < -45) {
    out.angle_degrees += 90;
    std::swap(out.width, out.height);
  }
  return out;
}

/// The rectangle around two parts of one strip that have nothing but film between them.
std::optional<cv::RotatedRect> joined(const cv::RotatedRect& a, const cv::RotatedRect& b,
                                      const cv::Mat1b& free_film) {
  std::vector<cv::Point2f> corners(8);
  a.points(corners.data());
  b.points(corners.data() + 4);
  const cv::RotatedRect both = cv::minAreaRect(corners);
  const auto width = [](const cv::RotatedRect& r) { return std::min(r.size.width, r.size.height); };
  if (width(both) > kAsWide * std::max(width(a), width(b))) return std::nullopt;
  both.points(corners.data());
  constexpr int kPlaces = 40;  // looked at, each way
  int film = 0;
  for (int i = 0; i < kPlaces * kPlaces; ++i) {
    const float u = (static_cast<float>(i % kPlaces) + 0.5F) / kPlaces;
    const float v = (static_cast<float>(i / kPlaces) + 0.5F) / kPlaces;
    const cv::Point2f at =
        corners[0] + u * (corners[1] - corners[0]) + v * (corners[3] - corners[0]);
    const cv::Point cell(cvRound(at.x), cvRound(at.y));
    const bool inside = cv::Rect({0, 0}, free_film.size()).contains(cell);
    film += inside && free_film(cell) != 0 ? 1 : 0;
  }
  if (film < kMostlyFilm * kPlaces * kPlaces) return std::nullopt;
  return both;
}

/// Parts of one strip as one: between them may lie frames that show nothing.
void join_along_strips(std::vector<cv::RotatedRect>& parts, const cv::Mat1b& free_film) {
  constexpr std::size_t kMost = 100;  // more are no strips but speckles, and would take long
  if (parts.size() > kMost) return;
  for (std::size_t i = 0; i < parts.size(); ++i) {
    for (std::size_t k = i + 1; k < parts.size();) {
      const auto both = joined(parts[i], parts[k], free_film);
      if (!both) {
        ++k;
        continue;
      }
      parts[i] = *both;
      parts.erase(parts.begin() + static_cast<std::ptrdiff_t>(k));
      k = i + 1;
    }
  }
}

}  // namespace

std::vector<FrameRegion> find_frameless_film(const FilmTones& tones,
                                             const std::vector<FrameRegion>& frames,
                                             double cell_side) {
  if ((!tones.clear && !tones.mounted) || frames.empty()) return {};
  std::vector<double> areas;
  std::vector<FrameRegion> wider = frames;
  for (FrameRegion& frame : wider) {
    areas.push_back(frame.width * frame.height / (cell_side * cell_side));
    frame.width += 2 * kBeyond * cell_side;
    frame.height += 2 * kBeyond * cell_side;
  }
  const double least = kLeastOfFrame * numeric::median(areas);
  cv::Mat1b left(tones.height, tones.width);
  cv::Mat1b clear(tones.height, tones.width);
  cv::Mat1b free_film(tones.height, tones.width);
  for (int y = 0; y < tones.height; ++y) {
    for (int x = 0; x < tones.width; ++x) {
      const bool outside = std::none_of(wider.begin(), wider.end(), [&](const FrameRegion& f) {
        return contains(f, (x + 0.5) * cell_side, (y + 0.5) * cell_side);
      });
      left(y, x) = tones.content(x, y) && outside ? 255 : 0;
      const AreaKind kind = tones.kind[tones.index(x, y)];
      clear(y, x) =
          kind == AreaKind::clear_film || (tones.mounted && kind == AreaKind::bare_light) ? 255 : 0;
      const bool film = kind == AreaKind::clear_film || kind == AreaKind::picture;
      free_film(y, x) = film && outside ? 255 : 0;
    }
  }
  cv::morphologyEx(left, left, cv::MORPH_OPEN, box(kThin));
  cv::Mat1i label;
  cv::Mat1i stats;
  cv::Mat1d centroids;
  const int count = cv::connectedComponentsWithStats(left, label, stats, centroids, 8, CV_32S);
  std::vector<cv::RotatedRect> parts;
  for (int i = 1; i < count; ++i) {
    if (stats(i, cv::CC_STAT_AREA) < least) continue;
    const cv::Mat1b part(cv::Mat(label == i));
    cv::Mat1b around;
    cv::dilate(part, around, box(2 * kAround + 1));
    around &= ~part;
    if (cv::countNonZero(around & clear) < kLeastClear * cv::countNonZero(around)) continue;
    std::vector<cv::Point> cells;
    cv::findNonZero(part, cells);
    parts.push_back(cv::minAreaRect(cells));
  }
  join_along_strips(parts, free_film);
  std::vector<FrameRegion> out;
  for (const cv::RotatedRect& part : parts) out.push_back(region_of(part, cell_side));
  return out;
}

}  // namespace basefog::area
