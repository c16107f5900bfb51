// SPDX-License-Identifier: GPL-3.0-or-later
#include "basefog/film_base.hpp"

#include <algorithm>
#include <array>
#include <cmath>

#include "numeric/quantile.hpp"

namespace basefog {
namespace {

constexpr double kLeastLight = 1e-5;
/// Fewest blocks of clear film that make a reference.
constexpr std::size_t kLeastBlocks = 30;
/// What is left of uneven light, flare and edge printing after all care, as density.
constexpr double kFloorSigma = 0.002;
constexpr int kSectors = 4;  // a side of the grid of sectors

/// Mean of the half of the values that lies closest together: dust, letters and scratches make up
/// less than half of the rebate and do not move it. values is reordered.
double mean_of_shortest_half(std::vector<float>& values) {
  std::sort(values.begin(), values.end());
  const std::size_t half = (values.size() + 1) / 2;
  std::size_t best = 0;
  for (std::size_t i = 0; i + half <= values.size(); ++i) {
    if (values[i + half - 1] - values[i] < values[best + half - 1] - values[best]) best = i;
  }
  double sum = 0;
  for (std::size_t i = best; i < best + half; ++i) sum += values[i];
  return sum / static_cast<double>(half);
}

/// Densities of blocks as under the light of the scan's centre.
class EvenDensity {
 public:
  EvenDensity(const BlockImage& blocks, const FilmLayout& layout)
      : blocks_(blocks), layout_(layout) {}
  float at(int channel, std::size_t block) const {
    const std::size_t plane = static_cast<std::size_t>(blocks_.width) * blocks_.height;
    const double x = (static_cast<double>(block % blocks_.width) + 0.5) * blocks_.block_side;
    const double y = (static_cast<double>(block / blocks_.width) + 0.5) * blocks_.block_side;
    const double light =
        layout_.stray.corrected(blocks_.mean[channel * plane + block], channel, x, y);
    return static_cast<float>(-std::log10(std::max(light, kLeastLight)) -
                              layout_.fall_off.at(x, y));
  }

 private:
  const BlockImage& blocks_;
  const FilmLayout& layout_;
};

/// Blocks of clear film with nothing else beside them.
std::vector<std::size_t> inner_clear_blocks(const BlockImage& blocks, const FilmLayout& layout) {
  std::vector<std::size_t> out;
  auto clear = [&](int x, int y) {
    if (x < 0 || y < 0 || x >= blocks.width || y >= blocks.height) return true;
    return layout.kind[static_cast<std::size_t>(y) * blocks.width + x] == AreaKind::clear_film;
  };
  for (int y = 0; y < blocks.height; ++y) {
    for (int x = 0; x < blocks.width; ++x) {
      bool all = true;
      for (int dy = -1; dy <= 1 && all; ++dy) {
        for (int dx = -1; dx <= 1 && all; ++dx) all = clear(x + dx, y + dy);
      }
      if (all) out.push_back(static_cast<std::size_t>(y) * blocks.width + x);
    }
  }
  return out;
}

/// Standard deviation of the reference: how far its parts over the scan disagree.
double scatter_over_sectors(const BlockImage& blocks, const EvenDensity& density,
                            const std::vector<std::size_t>& where, int channel, double base) {
  std::array<std::vector<float>, kSectors * kSectors> sector;
  for (std::size_t i : where) {
    const int x = static_cast<int>(i % blocks.width) * kSectors / blocks.width;
    const int y = static_cast<int>(i / blocks.width) * kSectors / blocks.height;
    sector[y * kSectors + x].push_back(density.at(channel, i));
  }
  std::vector<double> off;
  for (auto& values : sector) {
    if (values.size() >= kLeastBlocks)
      off.push_back(std::abs(mean_of_shortest_half(values) - base));
  }
  if (off.size() < 2) return 2 * kFloorSigma;
  const double spread = 1.4826 * median(off);
  return std::hypot(spread / std::sqrt(static_cast<double>(off.size())), kFloorSigma);
}

}  // namespace

FilmBase measure_rebate(const Scan& scan, const FilmLayout& layout) {
  const BlockImage& blocks = scan.blocks;
  FilmBase base;
  const std::vector<std::size_t> where = inner_clear_blocks(blocks, layout);
  if (where.size() < kLeastBlocks) return base;
  base.kind = ReferenceKind::rebate;
  const EvenDensity even(blocks, layout);
  const std::size_t plane = static_cast<std::size_t>(blocks.width) * blocks.height;
  for (int c = 0; c < blocks.channels; ++c) {
    std::vector<float> values;
    values.reserve(where.size());
    for (std::size_t i : where) values.push_back(even.at(c, i));
    const double density = mean_of_shortest_half(values);
    // Only blocks as dense as the base itself: a sliver of bare light may be white.
    constexpr double kAsDense = 0.05;
    double clipped = 0;
    for (std::size_t i : where) {
      if (std::abs(even.at(c, i) - density) < kAsDense) {
        clipped += blocks.clipped[c * plane + i] / 255.0;
      }
    }
    base.density.push_back(Density::from_value(density));
    base.sigma.emplace_back(scatter_over_sectors(blocks, even, where, c, density));
    if (clipped > 0.01 * static_cast<double>(where.size())) base.flags.insert(Flag::clipped_base);
  }
  return base;
}

}  // namespace basefog
