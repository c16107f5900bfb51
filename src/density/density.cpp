// SPDX-License-Identifier: GPL-3.0-or-later
#include "basefog/density/density.hpp"

#include <algorithm>
#include <array>
#include <cmath>
#include <numeric>

#include "area/even_density.hpp"
#include "basefog/core/error.hpp"
#include "core/name_list.hpp"
#include "density/film_faults.hpp"
#include "density/frame_sampler.hpp"
#include "density/negative_picture.hpp"
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
  const NegativePicture overview = picture_of(scan.blocks, whole, kOverviewSide);
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
    frame.negative = picture_of(scan.blocks, frame.region, picture_side);
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
