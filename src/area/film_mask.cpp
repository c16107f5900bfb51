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

}  // namespace

void mark_mask(FilmTones& tones) {
  constexpr double kBrightest = 0.005;  // of the cells: less are specks of light
  const double bright = numeric::quantile(tones.density, kBrightest);
  std::vector<float> dark = border_densities(tones);
  const auto border = static_cast<double>(dark.size());
  std::erase_if(dark, [&](float d) { return d < bright + kMaskAboveBright; });
  if (static_cast<double>(dark.size()) < kLeastOfBorder * border) return;
  const double level = numeric::quantile(dark, kLevelQuantile);
  const double limit =
      std::clamp(level - kBelowLevel, bright + kMaskAboveBright - kFlareSlack, kBlack);

  cv::Mat1b mask(tones.height, tones.width);
  for (int y = 0; y < tones.height; ++y) {
    for (int x = 0; x < tones.width; ++x) mask(y, x) = tones.at(x, y) > limit ? 255 : 0;
  }
  // A mask is a broad plain area; what is thinner than three blocks is something else.
  const cv::Mat box = cv::getStructuringElement(cv::MORPH_RECT, {3, 3});
  // Beyond the border all is taken for mask, so that a sliver along it stays.
  cv::copyMakeBorder(mask, mask, 2, 2, 2, 2, cv::BORDER_CONSTANT, cv::Scalar(255));
  cv::morphologyEx(mask, mask, cv::MORPH_CLOSE, box);
  cv::morphologyEx(mask, mask, cv::MORPH_OPEN, box);
  mask = mask(cv::Rect(2, 2, tones.width, tones.height)).clone();
  mask = touching_border(mask);
  if (cv::countNonZero(mask) < kLeastShare * static_cast<double>(mask.total())) return;
  spread_along_flare(tones, mask, bright + kFlareAboveBright);
  cv::dilate(mask, mask, box);
  for (int y = 0; y < tones.height; ++y) {
    for (int x = 0; x < tones.width; ++x) {
      if (mask(y, x)) tones.kind[tones.index(x, y)] = AreaKind::mask;
    }
  }
}

}  // namespace basefog::area
