// SPDX-License-Identifier: GPL-3.0-or-later
// Reads the codes of tablet patches whose places are known.
#include <fmt/format.h>

#include <algorithm>
#include <cmath>
#include <numbers>

#include "basefog/core/error.hpp"
#include "basefog/tablet/scanner_calibration.hpp"

namespace basefog::tablet {
namespace {

/// Share of a patch's pixels at white from which its mean is only a bound; and share of its blocks
/// that is left out at either end, for dust and scratches (judgement).
constexpr double kMostClipped = 0.01;
constexpr double kTrimmed = 0.1;

[[noreturn]] void refuse(const scan::Scan& scan, std::string problem, std::string next_step) {
  throw InputError(ErrorCode::malformed, scan.path, std::move(problem), std::move(next_step));
}

/// Places in BlockImage of the blocks that lie wholly in the region.
std::vector<std::size_t> blocks_in(const decode::BlockImage& blocks, const PatchRegion& region) {
  const double angle = region.angle_degrees * std::numbers::pi / 180;
  const double half =
      0.5 * blocks.block_side * (std::abs(std::cos(angle)) + std::abs(std::sin(angle)));
  const double reach = std::hypot(region.width, region.height) / 2;
  const auto index = [&](double pixel, int most) {
    return static_cast<int>(std::clamp(std::floor(pixel / blocks.block_side), 0.0, most - 1.0));
  };
  std::vector<std::size_t> places;
  for (int y = index(region.centre_y - reach, blocks.height);
       y <= index(region.centre_y + reach, blocks.height); ++y) {
    for (int x = index(region.centre_x - reach, blocks.width);
         x <= index(region.centre_x + reach, blocks.width); ++x) {
      const double dx = (x + 0.5) * blocks.block_side - region.centre_x;
      const double dy = (y + 0.5) * blocks.block_side - region.centre_y;
      const double u = dx * std::cos(angle) + dy * std::sin(angle);
      const double v = dy * std::cos(angle) - dx * std::sin(angle);
      if (std::abs(u) + half <= region.width / 2 && std::abs(v) + half <= region.height / 2) {
        places.push_back(blocks.index(0, x, y));
      }
    }
  }
  return places;
}

PatchCode read_code(const decode::BlockImage& blocks, std::vector<std::size_t> places,
                    int channel) {
  const std::size_t plane = blocks.index(channel, 0, 0);
  std::ranges::sort(places, {}, [&](std::size_t i) { return blocks.mean[plane + i]; });
  double clipped = 0;
  for (const std::size_t i : places) clipped += blocks.clipped[plane + i] / 255.0;
  PatchCode code;
  code.clipped = clipped > kMostClipped * static_cast<double>(places.size());
  const auto cut = static_cast<std::size_t>(kTrimmed * static_cast<double>(places.size()));
  double sum = 0;
  double squares = 0;
  double variance = 0;
  for (std::size_t i = cut; i < places.size() - cut; ++i) {
    const double mean = blocks.mean[plane + places[i]];
    sum += mean;
    squares += mean * mean;
    variance += blocks.variance[plane + places[i]];
  }
  const auto count = static_cast<double>(places.size() - 2 * cut);
  code.mean = sum / count;
  const double spread = std::max(0.0, squares / count - code.mean * code.mean);
  // The scatter of few blocks is uncertain itself; then that of the pixels is used.
  const double pixels = count * blocks.block_side * blocks.block_side;
  code.sigma = std::max(std::sqrt(spread / count), std::sqrt(variance / count / pixels));
  return code;
}

}  // namespace

std::vector<TabletPatch> measure_patches(const scan::Scan& scan,
                                         std::span<const PatchRegion> regions,
                                         std::span<const Density> densities) {
  if (regions.size() != densities.size()) {
    refuse(scan,
           fmt::format("{} patches stand against {} densities", regions.size(), densities.size()),
           "give one density for each patch, lightest first");
  }
  std::vector<TabletPatch> patches;
  for (std::size_t i = 0; i < regions.size(); ++i) {
    const std::vector<std::size_t> places = blocks_in(scan.blocks, regions[i]);
    if (places.empty()) {
      refuse(scan, fmt::format("patch {} is off the scan or too small to be read", i + 1),
             "scan at a higher resolution or correct the patch's position");
    }
    TabletPatch patch;
    patch.density = densities[i];
    for (int c = 0; c < scan.blocks.channels; ++c) {
      patch.codes.push_back(read_code(scan.blocks, places, c));
    }
    patches.push_back(std::move(patch));
  }
  return patches;
}

}  // namespace basefog::tablet
