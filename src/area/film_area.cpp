// SPDX-License-Identifier: GPL-3.0-or-later
#include "basefog/area/film_area.hpp"

#include <algorithm>
#include <cmath>
#include <numbers>

#include "area/even_density.hpp"
#include "area/film_sheet.hpp"
#include "area/film_tones.hpp"
#include "area/frameless_film.hpp"
#include "area/light_fall_off.hpp"
#include "area/stray_light.hpp"
#include "numeric/quantile.hpp"

namespace basefog::area {
namespace {

/// A frame's outline on the scan, in pixels; (x0, y0) is where the outline's cells begin.
FrameRegion region_of(const FrameOutline& frame, int x0, int y0, int cell_side) {
  const double a = frame.angle_degrees * std::numbers::pi / 180;
  const double u = (frame.side(kLeft).position + frame.side(kRight).position) / 2;
  const double v = (frame.side(kTop).position + frame.side(kBottom).position) / 2;
  FrameRegion region;
  region.centre_x = (x0 + u * std::cos(a) + v * std::sin(a)) * cell_side;
  region.centre_y = (y0 - u * std::sin(a) + v * std::cos(a)) * cell_side;
  region.width = (frame.side(kRight).position - frame.side(kLeft).position) * cell_side;
  region.height = (frame.side(kBottom).position - frame.side(kTop).position) * cell_side;
  region.angle_degrees = frame.angle_degrees;
  return region;
}

/// A region with its angle worked out, for asking of many places.
class Outline {
 public:
  explicit Outline(const FrameRegion& region)
      : region_(region),
        cosine_(std::cos(region.angle_degrees * std::numbers::pi / 180)),
        sine_(std::sin(region.angle_degrees * std::numbers::pi / 180)) {}

  bool contains(double x, double y) const {
    const double dx = x - region_.centre_x;
    const double dy = y - region_.centre_y;
    return std::abs(dx * cosine_ - dy * sine_) <= region_.width / 2 &&
           std::abs(dx * sine_ + dy * cosine_) <= region_.height / 2;
  }

 private:
  const FrameRegion& region_;
  double cosine_;
  double sine_;
};

/// Kinds of the blocks: clear film counts only beside frames that show that it is.
std::vector<AreaKind> kinds_of(const scan::Scan& scan, const FilmTones& tones,
                               const std::vector<FrameRegion>& frames, bool rebate) {
  const decode::BlockImage& blocks = scan.blocks;
  std::vector<AreaKind> out(static_cast<std::size_t>(blocks.width) * blocks.height);
  const std::vector<Outline> outlines(frames.begin(), frames.end());
  for (int y = 0; y < blocks.height; ++y) {
    for (int x = 0; x < blocks.width; ++x) {
      AreaKind kind = tones.kind[tones.index(x / tones.step, y / tones.step)];
      const double px = (x + 0.5) * blocks.block_side;
      const double py = (y + 0.5) * blocks.block_side;
      if (kind == AreaKind::clear_film &&
          (!rebate || std::ranges::any_of(outlines, [px, py](const Outline& frame) {
            return frame.contains(px, py);
          }))) {
        kind = AreaKind::picture;
      }
      out[static_cast<std::size_t>(y) * blocks.width + x] = kind;
    }
  }
  return out;
}

FrameRegion whole_scan(const scan::Scan& scan) {
  return {scan.width / 2.0, scan.height / 2.0, static_cast<double>(scan.width),
          static_cast<double>(scan.height), 0.0};
}

/// What a holder's mask leaves open where no frame's edge was seen: the lines of blocks from first
/// to last that are hardly masked, a block kept off the mask's blurred edge. The whole scan where
/// there are none.
FrameRegion within_mask(const scan::Scan& scan, const FilmLayout& layout) {
  const int width = scan.blocks.width;
  const int height = scan.blocks.height;
  constexpr double kHardlyMasked = 0.2;  // share of a line; a mask's corners are round (judgement)
  std::vector<int> masked_in_column(width, 0);
  std::vector<int> masked_in_row(height, 0);
  for (int y = 0; y < height; ++y) {
    for (int x = 0; x < width; ++x) {
      if (layout.kind[static_cast<std::size_t>(y) * width + x] != AreaKind::mask) continue;
      ++masked_in_column[x];
      ++masked_in_row[y];
    }
  }
  const auto open_range = [](const std::vector<int>& masked, double most) {
    const auto open = [most](int count) { return count <= most; };
    const auto first = std::find_if(masked.begin(), masked.end(), open);
    const auto last = std::find_if(masked.rbegin(), masked.rend(), open).base();
    return std::pair(first - masked.begin(), last - masked.begin());
  };
  // A masked border spans all columns, so each direction is judged by what the other leaves open.
  const auto spared = [](const std::vector<int>& masked, int length) {
    return std::count_if(masked.begin(), masked.end(), [&](int n) { return n < length; });
  };
  const auto open_rows = static_cast<double>(spared(masked_in_row, width));
  const auto open_columns = static_cast<double>(spared(masked_in_column, height));
  auto [left, right] = open_range(masked_in_column, height - open_rows + kHardlyMasked * open_rows);
  auto [top, bottom] =
      open_range(masked_in_row, width - open_columns + kHardlyMasked * open_columns);
  const auto inset = [](auto& from, auto& to, int whole) {
    if (from > 0) ++from;
    if (to < whole) --to;
  };
  inset(left, right, width);
  inset(top, bottom, height);
  if (right <= left || bottom <= top) return whole_scan(scan);
  const double side = scan.blocks.block_side;
  const double x1 = std::min(static_cast<double>(scan.width), side * static_cast<double>(right));
  const double y1 = std::min(static_cast<double>(scan.height), side * static_cast<double>(bottom));
  const double x0 = side * static_cast<double>(left);
  const double y0 = side * static_cast<double>(top);
  return {(x0 + x1) / 2, (y0 + y1) / 2, x1 - x0, y1 - y0, 0.0};
}

/// Share of pixels at the white limit, of 255, from which a block's density is only a bound: 2 %.
constexpr int kMostClipped = 5;
/// A place farther from its tone's median than this, in density, is no plain place but a letter's
/// blurred edge or dust: ten times what uneven light leaves (judgement).
constexpr double kFitsTone = 0.02;

/// Places of plain clear film and bare light outside the frames, in pixels. The layout knows no
/// fall-off yet, so that densities hold all of it.
std::vector<ToneSample> plain_places(const scan::Scan& scan, const FilmLayout& layout) {
  const decode::BlockImage& blocks = scan.blocks;
  const std::size_t plane = static_cast<std::size_t>(blocks.width) * blocks.height;
  std::vector<ToneSample> out;
  for (int y = 1; y + 1 < blocks.height; ++y) {
    for (int x = 1; x + 1 < blocks.width; ++x) {
      const std::size_t i = static_cast<std::size_t>(y) * blocks.width + x;
      const AreaKind kind = layout.kind[i];
      if (kind != AreaKind::clear_film && kind != AreaKind::bare_light) continue;
      bool plain = true;
      for (const int dy : {-blocks.width, 0, blocks.width}) {
        for (const int dx : {-1, 0, 1}) {
          plain = plain && layout.kind[static_cast<std::ptrdiff_t>(i) + dy + dx] == kind;
        }
      }
      double density = 0;
      for (int c = 0; c < blocks.channels && plain; ++c) {
        plain = blocks.clipped[c * plane + i] < kMostClipped;
        density += even_density(layout, blocks.mean[c * plane + i], c,
                                (x + 0.5) * blocks.block_side, (y + 0.5) * blocks.block_side);
      }
      if (!plain) continue;
      out.push_back({(x + 0.5) * blocks.block_side, (y + 0.5) * blocks.block_side,
                     static_cast<float>(density / blocks.channels),
                     kind == AreaKind::clear_film ? 1 : 0});
    }
  }
  return out;
}

/// The light's fall-off from what is plain around the frames. Twice, the second time without what
/// does not fit: letters' blurred edges, dust.
LightFallOff fall_off_around(const scan::Scan& scan, const FilmLayout& layout) {
  std::vector<ToneSample> samples = plain_places(scan, layout);
  std::stable_sort(samples.begin(), samples.end(),
                   [](const ToneSample& a, const ToneSample& b) { return a.tone < b.tone; });
  LightFallOff surface = fit_supported_fall_off(samples, scan.width, scan.height, layout.frames);
  std::array<std::vector<float>, 2> level;
  for (const ToneSample& s : samples) {
    level[s.tone].push_back(s.density - static_cast<float>(surface.at(s.x, s.y)));
  }
  std::array<double, 2> middle{};
  for (const std::size_t tone : {0U, 1U}) {
    if (!level[tone].empty()) middle[tone] = numeric::median(level[tone]);
  }
  std::erase_if(samples, [&](const ToneSample& s) {
    return std::abs(s.density - surface.at(s.x, s.y) - middle[s.tone]) > kFitsTone;
  });
  return fit_supported_fall_off(samples, scan.width, scan.height, layout.frames);
}

}  // namespace

bool contains(const FrameRegion& region, double x, double y) {
  return Outline(region).contains(x, y);
}

FilmLayout find_film(const scan::Scan& scan, const LayoutHint& hint) {
  const decode::BlockImage& blocks = scan.blocks;
  const FilmTones tones = find_tones(blocks, scan.light_known);
  FilmLayout layout;
  bool rebate = false;
  for (const SheetStrip& strip : find_sheet(tones, hint)) {
    layout.strips.push_back({layout.frames.size(), strip.frames.size()});
    for (const FrameOutline& frame : strip.frames) {
      rebate = rebate || rebate_seen(frame);
      layout.frames.push_back(region_of(frame, strip.x0, strip.y0, blocks.block_side * tones.step));
      FlagSet& flags = layout.frame_flags.emplace_back();
      if (frame.cut) flags.insert(Flag::frame_cut);
      if (strip.other_size && !frame.cut) flags.insert(Flag::frame_of_other_size);
    }
  }
  layout.frameless = find_frameless_film(tones, layout.frames, blocks.block_side * tones.step);
  if (!layout.frameless.empty()) layout.flags.insert(Flag::film_without_frame);
  layout.edges_found = !layout.frames.empty();
  if (!layout.edges_found) layout.flags.insert(Flag::no_frame_found);
  layout.kind = kinds_of(scan, tones, layout.frames, rebate);
  if (!layout.edges_found) {
    layout.frames.push_back(within_mask(scan, layout));
    layout.strips = {{0, 1}};
    layout.frame_flags.resize(1);
  }
  layout.stray = find_stray_light(scan, layout);
  layout.fall_off = fall_off_around(scan, layout);
  return layout;
}

}  // namespace basefog::area
