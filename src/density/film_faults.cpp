// SPDX-License-Identifier: GPL-3.0-or-later
#include "density/film_faults.hpp"

#include <algorithm>
#include <cmath>
#include <numbers>

#include "area/even_density.hpp"
#include "numeric/quantile.hpp"

namespace basefog::density {
namespace {

/// Share of a frame's short side by which it must run into the next: 0.24 mm of 24, more than an
/// edge is found to (judgement).
constexpr double kOverlap = 0.01;
/// Two that lie on each other by more than this are two exposures on one frame (judgement).
constexpr double kSameFrame = 0.5;
/// Net density by which light that struck the edge darkens clear film: above what flare and uneven
/// light leave beside a picture, below what prints visibly (judgement).
constexpr double kStruck = 0.06;

/// Length that two frames of a strip share along the line from one to the other.
double shared_length(const area::FrameRegion& a, const area::FrameRegion& b) {
  const double dx = b.centre_x - a.centre_x;
  const double dy = b.centre_y - a.centre_y;
  const double turn = a.angle_degrees * std::numbers::pi / 180;
  const double u = std::abs(dx * std::cos(turn) - dy * std::sin(turn));
  const double v = std::abs(dx * std::sin(turn) + dy * std::cos(turn));
  return u > v ? (a.width + b.width) / 2 - u : (a.height + b.height) / 2 - v;
}

void flag_overlaps(const area::FilmLayout& layout, std::vector<FlagSet>& flags) {
  for (const area::FilmStrip& strip : layout.strips) {
    for (std::size_t i = strip.first + 1; i < strip.first + strip.frames; ++i) {
      const area::FrameRegion& a = layout.frames[i - 1];
      const area::FrameRegion& b = layout.frames[i];
      const double shared = shared_length(a, b);
      const double side = std::min(a.width, a.height);
      if (shared < kOverlap * side) continue;
      const Flag flag = shared > kSameFrame * side ? Flag::double_exposure : Flag::frames_overlap;
      flags[i - 1].insert(flag);
      flags[i].insert(flag);
    }
  }
}

/// Density along lines beside a frame's side.
class Beside {
 public:
  Beside(const scan::Scan& scan, const area::FilmLayout& layout, const FilmBase& base)
      : scan_(scan), layout_(layout), base_(base) {}

  /// Lower quartile of net density along a line parallel to a side, at a distance outwards: edge
  /// printing covers less than that, light that struck the edge all of it. NaN where there is no
  /// film.
  double quartile(const area::FrameRegion& frame, bool upright, int direction,
                  double distance) const {
    constexpr int kPoints = 60;  // along a side; half of them on film make a line (judgement)
    const decode::BlockImage& blocks = scan_.blocks;
    const double turn = frame.angle_degrees * std::numbers::pi / 180;
    std::vector<double> net;
    for (int k = 0; k < kPoints; ++k) {
      const double along = ((k + 0.5) / kPoints - 0.5) * (upright ? frame.height : frame.width);
      const double out = direction * ((upright ? frame.width : frame.height) / 2 + distance);
      const double u = upright ? out : along;
      const double v = upright ? along : out;
      const double x = frame.centre_x + u * std::cos(turn) + v * std::sin(turn);
      const double y = frame.centre_y - u * std::sin(turn) + v * std::cos(turn);
      const int bx = static_cast<int>(x / blocks.block_side);
      const int by = static_cast<int>(y / blocks.block_side);
      if (x < 0 || y < 0 || bx >= blocks.width || by >= blocks.height) continue;
      const area::AreaKind kind = layout_.kind[static_cast<std::size_t>(by) * blocks.width + bx];
      if (kind == area::AreaKind::mask || kind == area::AreaKind::bare_light || on_a_frame(x, y))
        continue;
      const double light = blocks.mean[blocks.index(0, bx, by)];
      net.push_back(area::even_density(layout_, light, 0, x, y) - base_.density[0].value());
    }
    if (net.size() < kPoints / 2) return std::nan("");
    return numeric::quantile(std::move(net), 0.25);
  }

 private:
  bool on_a_frame(double x, double y) const {
    return std::any_of(layout_.frames.begin(), layout_.frames.end(),
                       [&](const area::FrameRegion& frame) { return area::contains(frame, x, y); });
  }

  const scan::Scan& scan_;
  const area::FilmLayout& layout_;
  const FilmBase& base_;
};

/// Whether film beside a frame's sides along the strip is dense as where light struck it: on three
/// lines in a row.
bool edge_struck(const Beside& beside, const area::FrameRegion& frame, bool upright) {
  constexpr double kStep = 0.01;  // of the frame's long side
  constexpr int kLines = 28;  // 35 mm film ends 5.5 mm from a picture of 36 mm, roll film sooner
  constexpr double kBlurred = 0.02;  // the picture's own edge
  constexpr double kHoles = 0.10;    // sprocket holes lie within 3.6 mm of a picture of 36 mm
  constexpr int kLeastLines = 3;     // a scratch is thinner
  const double side = std::max(frame.width, frame.height);
  for (const int direction : {-1, 1}) {
    int struck = 0;
    int seen = 0;
    for (int i = 0; i < kLines; ++i) {
      const double out = kBlurred + kStep * i;
      const double net = beside.quartile(frame, upright, direction, out * side);
      // Where the film ends; a gap of one line may be sprocket holes.
      if (std::isnan(net) && seen > 0 && out > kHoles) break;
      if (std::isnan(net)) continue;
      ++seen;
      struck = net > kStruck ? struck + 1 : 0;
      if (struck >= kLeastLines) return true;
    }
  }
  return false;
}

/// Whether a strip runs along x in the frames' own coordinates; of a single frame, its long side.
bool runs_along_width(const area::FilmLayout& layout, const area::FilmStrip& strip) {
  const area::FrameRegion& a = layout.frames[strip.first];
  if (strip.frames < 2) return a.width >= a.height;
  const area::FrameRegion& b = layout.frames[strip.first + 1];
  return std::abs(b.centre_x - a.centre_x) > std::abs(b.centre_y - a.centre_y);
}

}  // namespace

std::vector<FlagSet> find_faults(const scan::Scan& scan, const area::FilmLayout& layout,
                                 const FilmBase& base) {
  std::vector<FlagSet> flags(layout.frames.size());
  flag_overlaps(layout, flags);
  if (base.kind == ReferenceKind::none || !layout.edges_found) return flags;
  const Beside beside(scan, layout, base);
  for (const area::FilmStrip& strip : layout.strips) {
    const bool along_width = runs_along_width(layout, strip);
    for (std::size_t i = strip.first; i < strip.first + strip.frames; ++i) {
      if (edge_struck(beside, layout.frames[i], !along_width)) flags[i].insert(Flag::light_struck);
    }
  }
  return flags;
}

bool levels_stretched(const decode::BlockImage& blocks) {
  // Automatic levels clip a fixed share at both ends, a tenth of a percent to one or two (common
  // practice); more at an end is a mask or the sun.
  constexpr double kLeast = 0.002;
  constexpr double kMost = 0.03;
  const std::size_t plane = static_cast<std::size_t>(blocks.width) * blocks.height;
  if (blocks.clipped.size() < plane * blocks.channels || plane == 0) return false;
  const auto share = [&](const std::vector<std::uint8_t>& counts, int c) {
    double sum = 0;
    for (std::size_t i = 0; i < plane; ++i) sum += counts[c * plane + i];
    return sum / (255.0 * static_cast<double>(plane));
  };
  for (int c = 0; c < blocks.channels; ++c) {
    const double white = share(blocks.clipped, c);
    const double black = share(blocks.floored, c);
    if (white < kLeast || white > kMost || black < kLeast || black > kMost) return false;
  }
  return true;
}

}  // namespace basefog::density
