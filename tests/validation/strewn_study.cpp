// SPDX-License-Identifier: GPL-3.0-or-later
#include "validation/strewn_study.hpp"

#include <algorithm>
#include <cmath>
#include <fstream>
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

/// Whether one holds the middle of the other.
bool meet(const DrawnFrame& frame, const FrameRegion& region) {
  const Corners corners = corners_of(frame);
  const cv::Point2f middle = (corners[0] + corners[1] + corners[2] + corners[3]) / 4;
  return basefog::area::contains(region, middle.x, middle.y) ||
         cv::pointPolygonTest(
             corners,
             cv::Point2f(static_cast<float>(region.centre_x), static_cast<float>(region.centre_y)),
             false) >= 0;
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
    const bool said =
        !layout.edges_found || std::any_of(layout.frameless.begin(), layout.frameless.end(),
                                           [&](const FrameRegion& f) { return meet(truth[i], f); });
    out.silent += said ? 0 : 1;
  }
  for (const FrameRegion& f : found) {
    const bool real = std::any_of(truth.begin(), truth.end(), [&](const DrawnFrame& t) {
      return common(corners_of(t), corners_of(f)).overlap >= kHalf;
    });
    out.invented += real ? 0 : 1;
  }
  return out;
}

namespace {

/// As a scanner's software would save it, in sRGB [IEC61966-2-1]: a pixel a block.
cv::Mat3b encoded(const basefog::decode::BlockImage& b) {
  cv::Mat3b picture(b.height, b.width);
  for (int y = 0; y < b.height; ++y) {
    for (int x = 0; x < b.width; ++x) {
      for (int c = 0; c < 3; ++c) {
        const double light = b.mean[b.index(std::min(2 - c, b.channels - 1), x, y)];
        const double code =
            light <= 0.0031308 ? 12.92 * light : 1.055 * std::pow(light, 1 / 2.4) - 0.055;
        picture(y, x)[c] = cv::saturate_cast<uchar>(255 * code);
      }
    }
  }
  return picture;
}

}  // namespace

void save_picture(const std::string& path, const Glass& glass, const basefog::scan::Scan& scan,
                  const FilmLayout& layout) {
  cv::Mat3b picture = encoded(scan.blocks);
  const auto outline = [&](const Corners& corners, const cv::Scalar& colour) {
    for (std::size_t i = 0; i < 4; ++i) {
      const auto side = static_cast<float>(scan.blocks.block_side);
      cv::line(picture, corners[i] / side, corners[(i + 1) % 4] / side, colour, 1);
    }
  };
  for (const DrawnFrame& f : frames_of(glass)) outline(corners_of(f), {0, 160, 0});
  for (const FrameRegion& f : layout.frames) outline(corners_of(f), {0, 0, 255});
  for (const FrameRegion& f : layout.frameless) outline(corners_of(f), {255, 0, 255});
  cv::imwrite(path, picture);
}

void keep_sheet(const std::filesystem::path& folder, const std::string& name, const Glass& glass,
                const basefog::scan::Scan& scan) {
  std::filesystem::create_directories(folder);
  const std::filesystem::path table = folder / "frames.tsv";
  const bool begins = !std::filesystem::exists(table);
  std::ofstream out(table, std::ios::app);
  if (begins) out << "# file, centre x, y, width, height (pixels), degrees, must be found\n";
  const cv::Mat3b picture = encoded(scan.blocks);
  cv::Mat1b gray;
  cv::extractChannel(picture, gray, 0);
  const std::string file = (folder / (name + ".png")).string();
  const bool colour = scan.blocks.channels == 3;
  cv::imwrite(file, colour ? cv::Mat(picture) : cv::Mat(gray), {cv::IMWRITE_PNG_COMPRESSION, 9});
  const std::vector<DrawnFrame> frames = frames_of(glass);
  for (std::size_t i = 0; i < frames.size(); ++i) {
    const Corners corners = corners_of(frames[i]);
    const cv::Point2f along = (corners[1] + corners[2] - corners[0] - corners[3]) / 2;
    const cv::Point2f across = (corners[2] + corners[3] - corners[0] - corners[1]) / 2;
    const cv::Point2f middle = (corners[0] + corners[1] + corners[2] + corners[3]) / 4;
    const auto side = static_cast<float>(scan.blocks.block_side);
    out << name << ".png\t" << middle.x / side << '\t' << middle.y / side << '\t'
        << cv::norm(along) / side << '\t' << cv::norm(across) / side << '\t'
        << std::atan2(-along.y, along.x) * 180 / CV_PI << '\t' << counts(frames, i) << '\n';
  }
}

}  // namespace validation
