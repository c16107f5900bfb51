// SPDX-License-Identifier: GPL-3.0-or-later
#include "validation/strewn_study.hpp"

#include <algorithm>
#include <cmath>
#include <opencv2/imgcodecs.hpp>
#include <opencv2/imgproc.hpp>

#include "validation/outlines.hpp"

namespace validation {
namespace {

using basefog::area::FilmLayout;
using basefog::area::FrameRegion;
using basefog::strewn::DrawnFrame;
using basefog::strewn::Glass;
using validation::corners_of;

Corners corners_of(const DrawnFrame& frame) {
  Corners out;
  for (const basefog::strewn::Point& p : frame.corners) {
    out.emplace_back(static_cast<float>(p.x), static_cast<float>(p.y));
  }
  return out;
}

/// Whether a frame must be found: a clear one only between two of its strip that show.
bool counts(const std::vector<DrawnFrame>& all, std::size_t i) {
  if (!all[i].whole) return false;
  if (!all[i].plain) return true;
  const auto shows = [&](std::size_t k) {
    return all[k].piece == all[i].piece && all[k].whole && !all[k].plain;
  };
  bool before = false;
  bool after = false;
  for (std::size_t k = 0; k < all.size(); ++k) {
    before = before || (k < i && shows(k));
    after = after || (k > i && shows(k));
  }
  return before && after;
}

constexpr double kFound = 0.95;
constexpr double kHalf = 0.5;

}  // namespace

void StrewnScore::add(const StrewnScore& other) {
  sheets += other.sheets;
  frames += other.frames;
  found += other.found;
  lost += other.lost;
  silent += other.silent;
  invented += other.invented;
  least_overlap = std::min(least_overlap, other.least_overlap);
}

StrewnScore judge(const Glass& glass, const FilmLayout& layout) {
  StrewnScore out;
  out.sheets = 1;
  const std::vector<DrawnFrame> truth = frames_of(glass);
  std::vector<FrameRegion> found = layout.frames;
  if (!layout.edges_found) found.clear();
  for (std::size_t i = 0; i < truth.size(); ++i) {
    if (!counts(truth, i)) continue;
    ++out.frames;
    double best = 0;
    for (const FrameRegion& f : found) {
      best = std::max(best, common(corners_of(truth[i]), corners_of(f)).overlap);
    }
    out.found += best > kFound ? 1 : 0;
    out.least_overlap = std::min(out.least_overlap, best);
    if (best >= kHalf) continue;
    ++out.lost;
    out.silent += layout.edges_found ? 1 : 0;
  }
  for (const FrameRegion& f : found) {
    const bool real = std::any_of(truth.begin(), truth.end(), [&](const DrawnFrame& t) {
      return common(corners_of(t), corners_of(f)).overlap >= kHalf;
    });
    out.invented += real ? 0 : 1;
  }
  return out;
}

void save_picture(const std::string& path, const Glass& glass, const basefog::scan::Scan& scan,
                  const FilmLayout& layout) {
  const basefog::decode::BlockImage& b = scan.blocks;
  cv::Mat3b picture(b.height, b.width);
  for (int y = 0; y < b.height; ++y) {
    for (int x = 0; x < b.width; ++x) {
      for (int c = 0; c < 3; ++c) {
        const float light = b.mean[b.index(std::min(2 - c, b.channels - 1), x, y)];
        picture(y, x)[c] = cv::saturate_cast<uchar>(255 * std::pow(light, 1 / 2.2F));
      }
    }
  }
  const auto outline = [&](const Corners& corners, const cv::Scalar& colour) {
    for (std::size_t i = 0; i < 4; ++i) {
      const auto side = static_cast<float>(b.block_side);
      cv::line(picture, corners[i] / side, corners[(i + 1) % 4] / side, colour, 1);
    }
  };
  for (const DrawnFrame& f : frames_of(glass)) outline(corners_of(f), {0, 160, 0});
  for (const FrameRegion& f : layout.frames) outline(corners_of(f), {0, 0, 255});
  cv::imwrite(path, picture);
}

}  // namespace validation
