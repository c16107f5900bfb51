// SPDX-License-Identifier: GPL-3.0-or-later
#include "basefog/print/layout_picture.hpp"

#include <fmt/format.h>

#include <algorithm>
#include <array>
#include <cmath>
#include <opencv2/imgproc.hpp>
#include <string>
#include <vector>

#include "numeric/quantile.hpp"
#include "print/png_writer.hpp"

namespace basefog::print {
namespace {

constexpr int kLongSide = 1600;
constexpr int kMostEnlarged = 8;
const cv::Scalar kInk(20, 20, 20);
const cv::Scalar kPaper(244, 242, 236);
const cv::Scalar kFrame(214, 40, 110);
const cv::Scalar kFrameless(20, 120, 220);

struct Tint {
  area::AreaKind kind;
  const char* word;
  cv::Vec3f colour;  ///< red, green, blue
};
const std::array<Tint, 3> kTints = {{{area::AreaKind::clear_film, "clear film", {70, 190, 120}},
                                     {area::AreaKind::bare_light, "bare light", {60, 140, 230}},
                                     {area::AreaKind::mask, "mask", {150, 90, 190}}}};

/// Light as a screen shows it, the brightest hundredth white.
cv::Mat3b seen(const scan::Scan& scan, cv::Size size) {
  const decode::BlockImage& blocks = scan.blocks;
  const float white = std::max(static_cast<float>(numeric::quantile(blocks.mean, 0.99)), 1e-4F);
  cv::Mat3b out(blocks.height, blocks.width);
  for (int y = 0; y < blocks.height; ++y) {
    for (int x = 0; x < blocks.width; ++x) {
      for (int c = 0; c < 3; ++c) {
        const float light = blocks.mean[blocks.index(blocks.channels == 3 ? c : 0, x, y)] / white;
        out(y, x)[c] =
            cv::saturate_cast<std::uint8_t>(255 * std::pow(std::clamp(light, 0.0F, 1.0F), 0.45F));
      }
    }
  }
  const bool smaller = size.width < blocks.width;
  cv::resize(out, out, size, 0, 0, smaller ? cv::INTER_AREA : cv::INTER_NEAREST);
  return out;
}

void tint(cv::Mat3b& picture, const scan::Scan& scan, const area::FilmLayout& layout) {
  constexpr float kStrength = 0.35F;
  for (int y = 0; y < picture.rows; ++y) {
    for (int x = 0; x < picture.cols; ++x) {
      const int bx = x * scan.blocks.width / picture.cols;
      const int by = y * scan.blocks.height / picture.rows;
      const area::AreaKind kind =
          layout.kind[static_cast<std::size_t>(by) * scan.blocks.width + bx];
      for (const Tint& t : kTints) {
        if (t.kind != kind) continue;
        for (int c = 0; c < 3; ++c) {
          picture(y, x)[c] = cv::saturate_cast<std::uint8_t>((1 - kStrength) * picture(y, x)[c] +
                                                             kStrength * t.colour[c]);
        }
      }
    }
  }
}

void draw_outline(cv::Mat3b& picture, const area::FrameRegion& frame, double scale,
                  const cv::Scalar& colour) {
  std::vector<cv::Point> corners;
  for (const cv::Point2d& p : {cv::Point2d(-0.5, -0.5), {0.5, -0.5}, {0.5, 0.5}, {-0.5, 0.5}}) {
    const double a = frame.angle_degrees * CV_PI / 180;
    const double u = p.x * frame.width;
    const double v = p.y * frame.height;
    corners.emplace_back(
        cv::saturate_cast<int>((frame.centre_x + u * std::cos(a) + v * std::sin(a)) * scale),
        cv::saturate_cast<int>((frame.centre_y - u * std::sin(a) + v * std::cos(a)) * scale));
  }
  cv::polylines(picture, corners, true, colour, 2, cv::LINE_AA);
}

void draw_frames(cv::Mat3b& picture, const area::FilmLayout& layout, double scale) {
  constexpr double kHeight = 21;  // of a capital of this font at scale 1, pixels
  for (const area::FrameRegion& film : layout.frameless) {
    draw_outline(picture, film, scale, kFrameless);
  }
  for (std::size_t i = 0; i < layout.frames.size(); ++i) {
    const area::FrameRegion& frame = layout.frames[i];
    draw_outline(picture, frame, scale, kFrame);
    const std::string number = std::to_string(i + 1);
    const double size = std::clamp(std::min(frame.width, frame.height) * scale / 6, 12.0, 60.0);
    const int thick = std::max(1, cv::saturate_cast<int>(size / 14));
    const cv::Point at(cv::saturate_cast<int>(frame.centre_x * scale -
                                              0.35 * size * static_cast<double>(number.size())),
                       cv::saturate_cast<int>(frame.centre_y * scale + 0.5 * size));
    cv::putText(picture, number, at, cv::FONT_HERSHEY_SIMPLEX, size / kHeight, kPaper, 3 * thick,
                cv::LINE_AA);
    cv::putText(picture, number, at, cv::FONT_HERSHEY_SIMPLEX, size / kHeight, kFrame, thick,
                cv::LINE_AA);
  }
}

/// What the tints stand for, and how many frames there are, below the picture.
void add_legend(cv::Mat3b& picture, const area::FilmLayout& layout) {
  constexpr int kBox = 14;
  constexpr int kLine = 26;
  std::vector<std::pair<cv::Scalar, std::string>> entries;
  for (const Tint& t : kTints) {
    entries.emplace_back(cv::Scalar(t.colour[0], t.colour[1], t.colour[2]), t.word);
  }
  const std::size_t frames = layout.frames.size();
  entries.emplace_back(kFrame, layout.edges_found
                                   ? fmt::format("{} frame{}", frames, frames == 1 ? "" : "s")
                                   : "no edges seen: all taken as picture");
  if (!layout.frameless.empty()) entries.emplace_back(kFrameless, "no frame found");
  constexpr int kWide = 150;
  const int in_a_line = std::max(1, (picture.cols - 20) / kWide);
  const int lines = (static_cast<int>(entries.size()) + in_a_line - 1) / in_a_line;
  cv::copyMakeBorder(picture, picture, 0, lines * kLine + 10, 0, 0, cv::BORDER_CONSTANT, kPaper);
  const int top = picture.rows - lines * kLine - 5;
  for (std::size_t i = 0; i < entries.size(); ++i) {
    const int x = 10 + static_cast<int>(i) % in_a_line * kWide;
    const int y = top + static_cast<int>(i) / in_a_line * kLine + 5;
    cv::rectangle(picture, {x, y, kBox, kBox}, entries[i].first, cv::FILLED);
    cv::putText(picture, entries[i].second, {x + kBox + 6, y + kBox - 2}, cv::FONT_HERSHEY_SIMPLEX,
                0.5, kInk, 1, cv::LINE_AA);
  }
}

}  // namespace

void write_layout_picture(std::ostream& out, const scan::Scan& scan,
                          const area::FilmLayout& layout) {
  const double longest = std::max(scan.width, scan.height);
  const double scale =
      std::min(kLongSide / longest, kMostEnlarged / static_cast<double>(scan.blocks.block_side));
  cv::Mat3b picture = seen(scan, {std::max(1, cv::saturate_cast<int>(scan.width * scale)),
                                  std::max(1, cv::saturate_cast<int>(scan.height * scale))});
  tint(picture, scan, layout);
  draw_frames(picture, layout, scale);
  add_legend(picture, layout);
  out << encode_png({picture.data, picture.total() * 3}, picture.cols, picture.rows);
}

}  // namespace basefog::print
