// SPDX-License-Identifier: GPL-3.0-or-later
#include "area/film_mask.hpp"

#include <algorithm>
#include <opencv2/imgproc.hpp>

#include "numeric/quantile.hpp"

namespace basefog::area {
namespace {

/// Density above the brightest tone, mean over the channels, from which a border area is taken for
/// an opaque mask: more than clear film has (film_facts), less than flare leaves of black
/// (judgement).
constexpr double kMaskAboveBright = 1.3;
/// Flare may lighten the mask's edge to this density above the brightest tone.
constexpr double kFlareAboveBright = 0.9;
/// Density by which flare lightens the mask from one block to the next, at most.
constexpr float kMostStep = 0.12F;
/// A mask smaller than this share of the scan is none, nor one with less of the border (judgement).
constexpr double kLeastShare = 0.002;
constexpr double kLeastOfBorder = 0.02;
/// The mask's level is this quantile of what is dark at the border, since flare lightens the rest;
/// what is denser than kBelowLevel below it is mask, though flare may let the first step down to it
/// be kFlareSlack lower; past kBlack everything is (judgement).
constexpr double kLevelQuantile = 0.7;
constexpr double kBelowLevel = 0.3;
constexpr double kFlareSlack = 0.2;
constexpr double kBlack = 3.0;

/// Densities of the outermost blocks.
std::vector<float> border_densities(const FilmTones& tones) {
  std::vector<float> out;
  for (int x = 0; x < tones.width; ++x) {
    out.push_back(tones.at(x, 0));
    out.push_back(tones.at(x, tones.height - 1));
  }
  for (int y = 0; y < tones.height; ++y) {
    out.push_back(tones.at(0, y));
    out.push_back(tones.at(tones.width - 1, y));
  }
  return out;
}

/// Keeps the parts of a binary picture that touch its border.
cv::Mat1b touching_border(const cv::Mat1b& in) {
  cv::Mat1i label;
  const int count = cv::connectedComponents(in, label, 8, CV_32S);
  std::vector<bool> touches(count, false);
  for (int x = 0; x < in.cols; ++x) {
    touches[label(0, x)] = touches[label(in.rows - 1, x)] = true;
  }
  for (int y = 0; y < in.rows; ++y) {
    touches[label(y, 0)] = touches[label(y, in.cols - 1)] = true;
  }
  touches[0] = false;
  cv::Mat1b out(in.rows, in.cols);
  for (int y = 0; y < in.rows; ++y) {
    for (int x = 0; x < in.cols; ++x) out(y, x) = touches[label(y, x)] ? 255 : 0;
  }
  return out;
}

/// Adds what is next to the mask and differs little from it: flare from the film lightens the mask
/// smoothly, the film itself begins with a step.
void spread_along_flare(const FilmTones& tones, cv::Mat1b& mask, double least_density) {
  std::vector<cv::Point> front;
  for (int y = 0; y < mask.rows; ++y) {
    for (int x = 0; x < mask.cols; ++x) {
      if (mask(y, x)) front.emplace_back(x, y);
    }
  }
  while (!front.empty()) {
    const cv::Point from = front.back();
    front.pop_back();
    for (const cv::Point step : {cv::Point(1, 0), {-1, 0}, {0, 1}, {0, -1}}) {
      const cv::Point to = from + step;
      if (!cv::Rect(0, 0, mask.cols, mask.rows).contains(to) || mask(to)) continue;
      const float density = tones.at(to.x, to.y);
      if (density < least_density || density < tones.at(from.x, from.y) - kMostStep) continue;
      mask(to) = 255;
      front.push_back(to);
    }
  }
}

cv::Mat1b denser_than(const FilmTones& tones, double limit) {
  cv::Mat1b out(tones.height, tones.width);
  for (int y = 0; y < tones.height; ++y) {
    for (int x = 0; x < tones.width; ++x) out(y, x) = tones.at(x, y) > limit ? 255 : 0;
  }
  return out;
}

/// The density from which cells are opaque, by what may be: their level less a margin.
double opaque_from(const std::vector<float>& dark, double least) {
  const double level = numeric::quantile(dark, kLevelQuantile);
  return std::clamp(level - kBelowLevel, least, std::max(least, kBlack));
}

cv::Mat box3() { return cv::getStructuringElement(cv::MORPH_RECT, {3, 3}); }

/// The mask that reaches the scan's border; nothing where there is none.
cv::Mat1b border_mask(const FilmTones& tones, double bright) {
  const cv::Mat1b none(tones.height, tones.width, static_cast<uchar>(0));
  std::vector<float> dark = border_densities(tones);
  const auto border = static_cast<double>(dark.size());
  std::erase_if(dark, [&](float d) { return d < bright + kMaskAboveBright; });
  if (static_cast<double>(dark.size()) < kLeastOfBorder * border) return none;
  const double limit = opaque_from(dark, bright + kMaskAboveBright - kFlareSlack);
  cv::Mat1b mask = denser_than(tones, limit);
  // A mask is a broad plain area; what is thinner than three blocks is something else.
  // Beyond the border all is taken for mask, so that a sliver along it stays.
  cv::copyMakeBorder(mask, mask, 2, 2, 2, 2, cv::BORDER_CONSTANT, cv::Scalar(255));
  cv::morphologyEx(mask, mask, cv::MORPH_CLOSE, box3());
  cv::morphologyEx(mask, mask, cv::MORPH_OPEN, box3());
  mask = mask(cv::Rect(2, 2, tones.width, tones.height)).clone();
  mask = touching_border(mask);
  if (cv::countNonZero(mask) < kLeastShare * static_cast<double>(mask.total())) return none;
  spread_along_flare(tones, mask, bright + kFlareAboveBright);
  return mask;
}

/// Longer side of a mount's window by the shorter, at most (judgement).
constexpr double kOblong = 2;

/// Whether a contour is a rectangle, of sides no more unlike than this.
bool is_rectangle(const std::vector<cv::Point>& contour, double most_unlike) {
  constexpr double kFilled = 0.93;  // of its least rectangle: corners are round (judgement)
  const cv::Size2f size = cv::minAreaRect(contour).size;
  const double longer = std::max(size.width, size.height);
  const double shorter = std::min(size.width, size.height);
  return shorter > 0 && longer < most_unlike * shorter &&
         cv::contourArea(contour) > kFilled * longer * shorter;
}

/// Whether a cell lies half-way between the two places that are nearest to it.
bool is_between(const std::vector<cv::Point2f>& places, const cv::Point2f& cell) {
  constexpr double kHalfCut = 1.5;  // cells
  const auto away = [&](const cv::Point2f& place) { return cv::norm(place - cell); };
  std::vector<cv::Point2f> near(2);
  std::ranges::partial_sort_copy(places, near, {}, away, away);
  const double from_middle = (away(near[1]) * away(near[1]) - away(near[0]) * away(near[0])) /
                             std::max(1.0, 2 * cv::norm(near[1] - near[0]));
  return from_middle < kHalfCut;
}

/// Cuts what is dark apart where mounts touch: half-way between windows, which lie in the middle of
/// their mounts.
void cut_mounts_apart(cv::Mat1b& dark, double least_window) {
  std::vector<std::vector<cv::Point>> contours;
  std::vector<cv::Vec4i> nested;  // next, previous, first child, parent
  cv::findContours(dark.clone(), contours, nested, cv::RETR_CCOMP, cv::CHAIN_APPROX_NONE);
  for (std::size_t i = 0; i < contours.size(); ++i) {
    std::vector<cv::Point2f> windows;
    for (int k = nested[i][3] < 0 ? nested[i][2] : -1; k >= 0; k = nested[k][0]) {
      const bool large = cv::contourArea(contours[k]) > least_window;
      if (large && is_rectangle(contours[k], kOblong)) {
        windows.push_back(cv::minAreaRect(contours[k]).center);
      }
    }
    constexpr std::size_t kMostMounts = 100;
    if (windows.size() < 2 || windows.size() > kMostMounts) continue;
    const cv::Rect box = cv::boundingRect(contours[i]);
    for (int y = box.y; y < box.y + box.height; ++y) {
      for (int x = box.x; x < box.x + box.width; ++x) {
        if (dark(y, x) && is_between(windows, cv::Point(x, y))) dark(y, x) = 0;
      }
    }
  }
}

/// Opaque mounts around one frame each: nearly square, with one window, bare light around them.
cv::Mat1b mounts(const FilmTones& tones, double bright) {
  constexpr double kOpaque = 2;          // least density above the brightest
  constexpr double kLeastArea = 0.005;   // of the scan
  constexpr double kSquare = 1.3;        // longer side by the shorter
  constexpr double kLeastWindow = 0.15;  // of the mount
  constexpr double kMostWindow = 0.75;
  constexpr double kPlain = 0.3;  // density about the median
  constexpr double kMostlyPlain = 0.85;
  constexpr double kLight = 0.1;        // density above the brightest
  constexpr double kMostlyLight = 0.8;  // of what lies around and is no mount
  constexpr double kLeastLight = 0.2;   // of all that lies around: a side (all judgement)
  // Pictures on masked film may be as dark, beside their mount's edge: mounts themselves say more.
  std::vector<float> black = tones.density;
  std::erase_if(black, [&](float d) { return d < bright + kOpaque; });
  if (black.empty()) return cv::Mat1b(cv::Size(tones.width, tones.height), static_cast<uchar>(0));
  cv::Mat1b dark = denser_than(tones, opaque_from(black, bright + kOpaque));
  cv::morphologyEx(dark, dark, cv::MORPH_OPEN, box3());
  const double least = kLeastArea * static_cast<double>(dark.total());
  const cv::Mat1b all_dark = dark.clone();
  cut_mounts_apart(dark, kLeastWindow * least);
  std::vector<std::vector<cv::Point>> contours;
  std::vector<cv::Vec4i> nested;  // next, previous, first child, parent
  cv::findContours(dark.clone(), contours, nested, cv::RETR_CCOMP, cv::CHAIN_APPROX_NONE);
  cv::Mat1b out(tones.height, tones.width, static_cast<uchar>(0));
  for (std::size_t i = 0; i < contours.size(); ++i) {
    const double area = cv::contourArea(contours[i]);
    if (nested[i][3] >= 0 || area < least || !is_rectangle(contours[i], kSquare)) {
      continue;
    }
    int window = -1;
    for (int k = nested[i][2]; k >= 0; k = nested[k][0]) {
      if (cv::contourArea(contours[k]) > kLeastWindow * area) window = k;
    }
    if (window < 0 || cv::contourArea(contours[window]) > kMostWindow * area ||
        !is_rectangle(contours[window], kOblong)) {
      continue;
    }
    cv::Mat1b mount(dark.size(), static_cast<uchar>(0));
    cv::drawContours(mount, contours, static_cast<int>(i), cv::Scalar(255), cv::FILLED);
    cv::Mat1b around;
    cv::dilate(mount, around, cv::getStructuringElement(cv::MORPH_RECT, {9, 9}));
    cv::Mat1b close;
    cv::dilate(mount, close, cv::getStructuringElement(cv::MORPH_RECT, {5, 5}));
    around &= ~close;
    const int ring = cv::countNonZero(around);
    around &= ~all_dark;  // other mounts that it touches
    cv::drawContours(mount, contours, window, cv::Scalar(0), cv::FILLED);
    const double lit = cv::countNonZero(around & ~denser_than(tones, bright + kLight));
    std::vector<float> inside;
    for (int y = 0; y < mount.rows; ++y) {
      for (int x = 0; x < mount.cols; ++x) {
        if (mount(y, x)) inside.push_back(tones.at(x, y));
      }
    }
    const double middle = numeric::median(inside);
    const auto plain = static_cast<double>(
        std::count_if(inside.begin(), inside.end(), [&](float d) { return d > middle - kPlain; }));
    if (lit < kMostlyLight * cv::countNonZero(around) || lit < kLeastLight * ring ||
        plain < kMostlyPlain * static_cast<double>(inside.size())) {
      continue;
    }
    out |= mount;
  }
  return out;
}

}  // namespace

void mark_mask(FilmTones& tones) {
  constexpr double kBrightest = 0.005;  // of the cells: less are specks of light
  const double bright = numeric::quantile(tones.density, kBrightest);
  const cv::Mat1b around_frames = mounts(tones, bright);
  tones.mounted = cv::countNonZero(around_frames) > 0;
  cv::Mat1b mask = border_mask(tones, bright);
  mask |= around_frames;
  cv::dilate(mask, mask, box3());
  for (int y = 0; y < tones.height; ++y) {
    for (int x = 0; x < tones.width; ++x) {
      if (mask(y, x)) tones.kind[tones.index(x, y)] = AreaKind::mask;
    }
  }
}

}  // namespace basefog::area
