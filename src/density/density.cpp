// SPDX-License-Identifier: GPL-3.0-or-later
#include "basefog/density/density.hpp"

#include <algorithm>
#include <array>
#include <bit>
#include <cmath>
#include <cstdint>
#include <numbers>
#include <numeric>

#include "area/even_density.hpp"
#include "basefog/core/error.hpp"
#include "core/name_list.hpp"
#include "density/film_faults.hpp"
#include "density/polarity.hpp"
#include "numeric/quantile.hpp"

namespace basefog::density {
namespace {

/// A measuring aperture is this part of the frame's long side: 0.5 mm on 36 mm.
constexpr int kAperturesPerLongSide = 72;
/// Long side of the small picture of the whole scan, pixels: for looking at, nothing is read from
/// it.
constexpr int kOverviewSide = 360;

/// A frame that holds no picture: nothing above this net density, or no more range than that. Half
/// of what defines a film's speed [ISO6], and more than uneven light and noise make (judgement).
constexpr double kBlankDensity = 0.05;
/// A frame struck by light: dense all over. A snow scene far over is as dense, but not as even
/// (judgement).
constexpr double kFoggedDensity = 1.5;
constexpr double kFoggedRange = 0.3;
/// Quantiles taken for the thinnest and the densest of a frame: specks make up less than that.
constexpr double kThinnest = 0.005;
constexpr double kDensest = 0.995;
/// Share of clipped pixels from which a base is clipped: dust holes and edges make up less
/// (judgement).
constexpr double kMostClipped = 0.01;

struct Reading {
  double light = 0;
  double pixel_variance = 0;  ///< of pixels within blocks
  double scatter = 0;         ///< variance from block to block, less the picture's own slope
  double clipped = 0;
  double floored = 0;
};

/// Reads the block image in a frame's own coordinates, in pixels from its upper left corner.
class FrameSampler {
 public:
  FrameSampler(const decode::BlockImage& blocks, const area::FrameRegion& region)
      : blocks_(blocks), region_(region) {
    const double a = region.angle_degrees * std::numbers::pi / 180;
    cosine_ = std::cos(a);
    sine_ = std::sin(a);
  }

  double scan_x(double u, double v) const { return across(u).x + down(v).x; }
  double scan_y(double u, double v) const { return across(u).y + down(v).y; }

  /// A place on the scan, or the part of it that one coordinate brings: a place is
  /// across(u) + down(v), so that over a grid of points each part is worked out once.
  struct Place {
    double x;
    double y;
  };
  Place across(double u) const {
    const double off = u - region_.width / 2;
    return {region_.centre_x + off * cosine_, region_.centre_y - off * sine_};
  }
  Place down(double v) const {
    const double off = v - region_.height / 2;
    return {off * sine_, off * cosine_};
  }

  struct Block {
    std::size_t index = 0;
    bool inner = false;  ///< has a neighbour on either side in its row
  };

  /// Block that holds a place; the nearest one for places off the scan.
  Block block_at(const Place& across, const Place& down) const {
    const double x = across.x + down.x;
    const double y = across.y + down.y;
    const int bx = std::clamp(static_cast<int>(x / blocks_.block_side), 0, blocks_.width - 1);
    const int by = std::clamp(static_cast<int>(y / blocks_.block_side), 0, blocks_.height - 1);
    return {static_cast<std::size_t>(by) * blocks_.width + bx, bx > 0 && bx + 1 < blocks_.width};
  }

  /// The blocks of a square with its corner at (u, v), each as often as points of an even grid fall
  /// on it.
  std::vector<Block> blocks_of(double u, double v, double side) const {
    const int n = std::clamp(static_cast<int>(std::ceil(2 * side / blocks_.block_side)), 2, 32);
    const double step = side / n;
    std::array<Place, 32> columns{};
    for (int i = 0; i < n; ++i) columns[i] = across(u + (i + 0.5) * step);
    std::vector<Block> out;
    out.reserve(static_cast<std::size_t>(n) * n);
    for (int j = 0; j < n; ++j) {
      const Place row = down(v + (j + 0.5) * step);
      for (int i = 0; i < n; ++i) out.push_back(block_at(columns[i], row));
    }
    return out;
  }

  /// Mean over blocks.
  Reading reading(int channel, const std::vector<Block>& blocks) const {
    const std::size_t plane = static_cast<std::size_t>(blocks_.width) * blocks_.height * channel;
    Reading r;
    double high_pass = 0;
    for (const Block& block : blocks) {
      const std::size_t b = plane + block.index;
      r.light += blocks_.mean[b];
      r.pixel_variance += blocks_.variance[b];
      r.clipped += blocks_.clipped[b];
      r.floored += blocks_.floored[b];
      if (block.inner) high_pass += second_difference(b);
    }
    const auto count = static_cast<double>(blocks.size());
    r.light /= count;
    r.pixel_variance /= count;
    r.clipped /= 255 * count;
    r.floored /= 255 * count;
    r.scatter = high_pass / count;
    return r;
  }

  double light(int channel, std::size_t block) const {
    return blocks_.mean[static_cast<std::size_t>(blocks_.width) * blocks_.height * channel + block];
  }

 private:
  /// Variance of noise at a block from its neighbours in a row: (a - 2b + c)² / 6 removes a slope.
  double second_difference(std::size_t b) const {
    const double d = blocks_.mean[b - 1] - 2.0 * blocks_.mean[b] + blocks_.mean[b + 1];
    return d * d / 6;
  }

  const decode::BlockImage& blocks_;
  area::FrameRegion region_;
  double cosine_;
  double sine_;
};

float density_of(double light) {
  return static_cast<float>(-std::log10(std::max(light, area::kLeastLight)));
}

/// Standard deviation of an aperture's density: pixel noise averaged over the aperture, or the
/// scatter of its blocks where that is more (grain is wider than a pixel).
float sigma_of(const Reading& r, double side, int block_side) {
  const double pixels = side * side;
  const double blocks = std::max(1.0, pixels / (static_cast<double>(block_side) * block_side));
  const double variance = std::max(r.pixel_variance / pixels, r.scatter / blocks);
  return static_cast<float>(std::sqrt(variance) /
                            (std::max(r.light, area::kLeastLight) * std::log(10.0)));
}

/// Error of a density by the error of the stray light.
double sigma_of_stray(const area::StrayLight& stray, double light, const Reading& r) {
  if (stray.share <= 0) return 0;
  // The form of stray light is never known to better than a tenth (judgement).
  constexpr double kLeastRelative = 0.1;
  const double relative = std::clamp(stray.share_sigma / stray.share, kLeastRelative, 1.0);
  return relative * light / (std::max(r.light, area::kLeastLight) * std::log(10.0));
}

ApertureGrid measure_apertures(const scan::Scan& scan, const area::FrameRegion& region,
                               const area::FilmLayout& layout) {
  const FrameSampler sampler(scan.blocks, region);
  const double side = std::max(region.width, region.height) / kAperturesPerLongSide;
  ApertureGrid grid;
  // Half an aperture stays free on either side.
  grid.columns = std::max(1, static_cast<int>(region.width / side - 1 + 1e-6));
  grid.rows = std::max(1, static_cast<int>(region.height / side - 1 + 1e-6));
  grid.channels = scan.blocks.channels;
  const double left = (region.width - grid.columns * side) / 2;
  const double top = (region.height - grid.rows * side) / 2;
  const std::size_t size = static_cast<std::size_t>(grid.columns) * grid.rows * grid.channels;
  for (auto* plane : {&grid.density, &grid.sigma, &grid.clipped, &grid.floored}) {
    plane->resize(size);
  }
  for (int y = 0; y < grid.rows; ++y) {
    for (int x = 0; x < grid.columns; ++x) {
      const double u = left + x * side;
      const double v = top + y * side;
      const std::vector<FrameSampler::Block> blocks = sampler.blocks_of(u, v, side);
      const double px = sampler.scan_x(u + side / 2, v + side / 2);
      const double py = sampler.scan_y(u + side / 2, v + side / 2);
      const double uneven = layout.fall_off.at(px, py);
      for (int c = 0; c < grid.channels; ++c) {
        Reading r = sampler.reading(c, blocks);
        const double stray = layout.stray.at(c, px, py);
        r.light = layout.stray.corrected(r.light, c, px, py);
        const std::size_t i = grid.index(c, x, y);
        grid.density[i] = density_of(r.light) - static_cast<float>(uneven);
        const double own = sigma_of(r, side, scan.blocks.block_side);
        grid.sigma[i] = static_cast<float>(std::hypot(own, sigma_of_stray(layout.stray, stray, r)));
        grid.clipped[i] = static_cast<float>(r.clipped);
        grid.floored[i] = static_cast<float>(r.floored);
      }
    }
  }
  return grid;
}

/// Density in steps of 1/1000, rounded. A picture has a million: a polynomial says where the
/// rounding is plain, and only near the border of two steps is the logarithm taken.
std::uint16_t millidensity_of(double light) {
  // log2(1 + t) as t + t (1 - t) p(t), p through the Chebyshev nodes: to 7.3e-6, 0.0022 steps.
  constexpr std::array<double, 5> kP = {0.442654, -0.27657, 0.184101, -0.097202, 0.025691};
  constexpr double kMilliPerOctave = 301.029995664;
  constexpr double kUnsure = 0.01;
  if (light > area::kLeastLight && light < 1) {
    const auto bits = std::bit_cast<std::uint64_t>(light);
    const int exponent = static_cast<int>(bits >> 52) - 1023;
    const double t = std::bit_cast<double>((bits & 0xfffffffffffffU) | 0x3ff0000000000000U) - 1;
    const double p = kP[0] + t * (kP[1] + t * (kP[2] + t * (kP[3] + t * kP[4])));
    const double above = 0.5 - kMilliPerOctave * (exponent + t + t * (1 - t) * p);
    const int milli = static_cast<int>(above);
    const double rest = above - milli;
    if (rest > kUnsure && rest < 1 - kUnsure) return static_cast<std::uint16_t>(milli);
  }
  const double milli = 1000.0 * density_of(light);
  return static_cast<std::uint16_t>(std::lround(std::clamp(milli, 0.0, 65535.0)));
}

NegativePicture picture_of(const scan::Scan& scan, const area::FrameRegion& region, int most) {
  const decode::BlockImage& blocks = scan.blocks;
  const double longest = std::max(region.width, region.height);
  const double step = std::max(longest / most, static_cast<double>(blocks.block_side));
  const FrameSampler sampler(blocks, region);
  NegativePicture picture;
  picture.width = std::clamp(static_cast<int>(std::lround(region.width / step)), 1, most);
  picture.height = std::clamp(static_cast<int>(std::lround(region.height / step)), 1, most);
  picture.channels = blocks.channels;
  picture.millidensity.resize(static_cast<std::size_t>(picture.width) * picture.height *
                              picture.channels);
  const double sx = region.width / picture.width;
  const double sy = region.height / picture.height;
  const int n = std::clamp(static_cast<int>(std::ceil(step / blocks.block_side)), 1, 8);
  std::vector<FrameSampler::Place> columns;
  for (int k = 0; k < picture.width * n; ++k) {
    columns.push_back(sampler.across((k / n + (k % n + 0.5) / n) * sx));
  }
  std::array<FrameSampler::Place, 8> rows{};
  for (int y = 0; y < picture.height; ++y) {
    for (int k = 0; k < n; ++k) rows[k] = sampler.down((y + (k + 0.5) / n) * sy);
    for (int x = 0; x < picture.width; ++x) {
      double sum[3] = {0, 0, 0};
      for (int k = 0; k < n * n; ++k) {
        const std::size_t b = sampler.block_at(columns[x * n + k % n], rows[k / n]).index;
        for (int c = 0; c < picture.channels; ++c) sum[c] += sampler.light(c, b);
      }
      for (int c = 0; c < picture.channels; ++c) {
        const std::size_t i =
            (static_cast<std::size_t>(c) * picture.height + y) * picture.width + x;
        picture.millidensity[i] = millidensity_of(sum[c] / (n * n));
      }
    }
  }
  return picture;
}

/// Blank and fogged frames, recognised by the range of their densities.
void judge_content(FrameMeasurement& frame) {
  const ApertureGrid& grid = frame.apertures;
  double range = 0;
  double middle = 0;
  for (int c = 0; c < grid.channels; ++c) {
    const std::vector<float> values = grid.densities(c);
    const double zero =
        frame.rebate.kind == ReferenceKind::none ? 0.0 : frame.rebate.density[c].value();
    range =
        std::max(range, numeric::quantile(values, kDensest) - numeric::quantile(values, kThinnest));
    middle = std::max(middle, numeric::median(values) - zero);
  }
  if (middle > kFoggedDensity && range < kFoggedRange) {
    frame.flags.insert(Flag::fogged);
  } else if (shows_nothing(frame, frame.rebate)) {
    // Without clear film beside it an even frame may as well be evenly exposed.
    frame.state = FrameState::blank;
    frame.flags.insert(Flag::blank);
  }
}

/// Whether a frame has one density all over.
bool is_even(const ApertureGrid& grid) {
  for (int c = 0; c < grid.channels; ++c) {
    const std::vector<float> values = grid.densities(c);
    if (numeric::quantile(values, kDensest) - numeric::quantile(values, kThinnest) >= kBlankDensity)
      return false;
  }
  return true;
}

std::vector<Density> densest_of(const scan::Scan& scan) {
  std::vector<Density> out;
  for (int c = 0; c < scan.blocks.channels; ++c) {
    const double darkest =
        static_cast<std::size_t>(c) < scan.darkest.size() ? scan.darkest[c] : area::kLeastLight;
    out.push_back(Density::from_transmittance(std::max(darkest, area::kLeastLight)));
  }
  return out;
}

}  // namespace

std::string_view name_of(FrameState state) {
  return name_in(std::to_array<std::string_view>(
                     {"measured", "blank", "no_reference", "positive", "unreadable"}),
                 state);
}

std::vector<FrameMeasurement> measure_frames(const scan::Scan& scan, const area::FilmLayout& layout,
                                             int picture_side) {
  const bool positive = shows_positive(scan.blocks);
  // Stretched levels move black as well as white: no clear film is a zero then.
  const bool stretched = levels_stretched(scan.blocks);
  const FilmBase rebate = positive || stretched ? FilmBase{} : measure_rebate(scan, layout);
  const std::vector<FlagSet> faults = find_faults(scan, layout, rebate);
  const area::FrameRegion whole{scan.width / 2.0, scan.height / 2.0,
                                static_cast<double>(scan.width), static_cast<double>(scan.height),
                                0.0};
  const NegativePicture overview = picture_of(scan, whole, kOverviewSide);
  std::vector<FrameMeasurement> frames;
  for (std::size_t i = 0; i < layout.frames.size(); ++i) {
    FrameMeasurement frame;
    frame.file = scan.path;
    // What a name says is one frame; on a strip nothing says how it counts.
    if (layout.frames.size() == 1) frame.label = scan::frame_label(scan.path);
    frame.index = static_cast<int>(i);
    frame.region = layout.frames[i];
    frame.edges_found = layout.edges_found;
    frame.apertures = measure_apertures(scan, frame.region, layout);
    frame.rebate = rebate;
    frame.densest = densest_of(scan);
    frame.negative = picture_of(scan, frame.region, picture_side);
    frame.overview = overview;
    frame.response = scan.response;
    frame.metadata = scan.metadata;
    frame.scan_width = scan.width;
    frame.scan_height = scan.height;
    frame.bits_per_sample = scan.bits_per_sample;
    frame.light_known = scan.light_known;
    frame.flags.insert(scan.flags);
    frame.flags.insert(rebate.flags);
    frame.flags.insert(faults[i]);
    if (stretched) frame.flags.insert(Flag::automatic_levels);
    if (positive) {
      frame.state = FrameState::positive;
      frame.flags.insert(Flag::positive);
    } else {
      judge_content(frame);
    }
    // Where nothing was exposed there are no edges to be seen.
    if (frame.state != FrameState::blank) frame.flags.insert(layout.flags);
    if (i < layout.frame_flags.size()) frame.flags.insert(layout.frame_flags[i]);
    frames.push_back(std::move(frame));
  }
  return frames;
}

bool shows_nothing(const FrameMeasurement& frame, const FilmBase& base) {
  const ApertureGrid& grid = frame.apertures;
  if (!base.has_zero(grid.channels)) return false;
  for (int c = 0; c < grid.channels; ++c) {
    const double densest = numeric::quantile(grid.densities(c), kDensest);
    if (densest - base.density[c].value() >= kBlankDensity) return false;
  }
  return true;
}

FilmBase base_of_clear_film(const FrameMeasurement& frame) {
  if (frame.state != FrameState::blank && !is_even(frame.apertures)) {
    throw InputError(ErrorCode::malformed, frame.file, "shows more than clear film",
                     "scan a piece of clear film, such as the lead-in, under the roll's exposure");
  }
  const ApertureGrid& grid = frame.apertures;
  FilmBase base;
  base.kind = ReferenceKind::base_scan;
  for (int c = 0; c < grid.channels; ++c) {
    const std::vector<float> values = grid.densities(c);
    base.density.push_back(Density::from_value(numeric::quantile(values, 0.5)));
    // Half the range that holds two thirds: the film's and the lamp's own unevenness.
    base.sigma.emplace_back(
        (numeric::quantile(values, 5 / 6.0) - numeric::quantile(values, 1 / 6.0)) / 2);
    const auto clipped = grid.clipped.begin() + static_cast<std::ptrdiff_t>(grid.index(c, 0, 0));
    const double pixels = std::accumulate(clipped, clipped + std::ssize(values), 0.0);
    if (pixels > kMostClipped * static_cast<double>(values.size()))
      base.flags.insert(Flag::clipped_base);
  }
  return base;
}

NetDensity net_density(const ApertureGrid& grid, const FilmBase& base, int channel, int x, int y) {
  return NetDensity::above(Density::from_value(grid.density[grid.index(channel, x, y)]),
                           base.density[channel]);
}

}  // namespace basefog::density
