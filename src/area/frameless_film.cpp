// SPDX-License-Identifier: GPL-3.0-or-later
#include "area/frameless_film.hpp"

#include <algorithm>
#include <opencv2/imgproc.hpp>

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
  for (int y = 0; y < tones.height; ++y) {
    for (int x = 0; x < tones.width; ++x) {
      const bool outside = std::none_of(wider.begin(), wider.end(), [&](const FrameRegion& f) {
        return contains(f, (x + 0.5) * cell_side, (y + 0.5) * cell_side);
      });
      left(y, x) = tones.content(x, y) && outside ? 255 : 0;
      const AreaKind kind = tones.kind[tones.index(x, y)];
      clear(y, x) =
          kind == AreaKind::clear_film || (tones.mounted && kind == AreaKind::bare_light) ? 255 : 0;
    }
  }
  cv::morphologyEx(left, left, cv::MORPH_OPEN, box(kThin));
  cv::Mat1i label;
  cv::Mat1i stats;
  cv::Mat1d centroids;
  const int count = cv::connectedComponentsWithStats(left, label, stats, centroids, 8, CV_32S);
  std::vector<FrameRegion> out;
  for (int i = 1; i < count; ++i) {
    if (stats(i, cv::CC_STAT_AREA) < least) continue;
    const cv::Mat1b part(cv::Mat(label == i));
    cv::Mat1b around;
    cv::dilate(part, around, box(2 * kAround + 1));
    around &= ~part;
    if (cv::countNonZero(around & clear) < kLeastClear * cv::countNonZero(around)) continue;
    std::vector<cv::Point> cells;
    cv::findNonZero(part, cells);
    out.push_back(region_of(cv::minAreaRect(cells), cell_side));
  }
  return out;
}

}  // namespace basefog::area
