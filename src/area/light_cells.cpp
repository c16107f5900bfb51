// SPDX-License-Identifier: GPL-3.0-or-later
#include "area/light_cells.hpp"

#include <algorithm>
#include <cmath>

#include "area/even_density.hpp"
#include "numeric/quantile.hpp"

namespace basefog::area {
namespace {

/// Noise of a cell's density at which an even tone is recognised as even: about a bin of their
/// histogram. Larger cells are quieter but blur edges, so the scan keeps so many on its long side:
/// 36 mm in cells of 0.11 mm, a twentieth of the gap between frames of 35 mm film (judgement).
constexpr double kQuiet = 0.006;
constexpr int kLeastLongSide = 320;
/// Never fewer cells for time's sake than a scan's blocks usually are: on a whole sheet the gaps
/// between half frames are three of those wide. Finer blocks are put together as far as that leaves
/// them, so that finding takes at most four times as long.
constexpr double kUsualCells = 500'000;
/// Share of pixels at the white limit from which a cell's density is only a bound.
constexpr double kMostClipped = 0.02;

LightCells cells_of(const decode::BlockImage& blocks, int step) {
  LightCells cells;
  cells.step = step;
  cells.width = (blocks.width + step - 1) / step;
  cells.height = (blocks.height + step - 1) / step;
  cells.channels = blocks.channels;
  cells.density.resize(cells.plane() * cells.channels);
  cells.clipped.assign(cells.plane(), false);
  for (int c = 0; c < cells.channels; ++c) {
    for (int y = 0; y < cells.height; ++y) {
      for (int x = 0; x < cells.width; ++x) {
        float sum = 0;
        int count = 0;
        int clipped = 0;
        for (int by = y * step; by < std::min((y + 1) * step, blocks.height); ++by) {
          for (int bx = x * step; bx < std::min((x + 1) * step, blocks.width); ++bx) {
            sum += blocks.mean[blocks.index(c, bx, by)];
            clipped += blocks.clipped[blocks.index(c, bx, by)];
            ++count;
          }
        }
        const float light =
            std::max(sum / static_cast<float>(count), static_cast<float>(kLeastLight));
        const std::size_t i = static_cast<std::size_t>(y) * cells.width + x;
        cells.density[c * cells.plane() + i] = -std::log10(light);
        if (clipped > kMostClipped * 255 * count) cells.clipped[i] = true;
      }
    }
  }
  return cells;
}

/// Noise of the brighter half of the cells, from second differences along rows.
double noise_of(const LightCells& cells) {
  const std::vector<float> density = mean_density(cells);
  const double middle = numeric::median(density);
  std::vector<float> difference;
  for (int y = 0; y < cells.height; ++y) {
    for (int x = 1; x + 1 < cells.width; ++x) {
      const float* d = &density[static_cast<std::size_t>(y) * cells.width + x];
      if (*d <= middle) difference.push_back(std::abs(d[-1] - 2 * d[0] + d[1]));
    }
  }
  if (difference.empty()) return 0;
  // A lower quartile: much of a picture has detail of its own. That of a normal distribution's
  // magnitudes lies at 0.3186 sigma; a second difference has six times a cell's variance.
  constexpr double kLowerQuartile = 0.3186;
  return numeric::quantile(std::move(difference), 0.25) / kLowerQuartile / std::sqrt(6.0);
}

}  // namespace

LightCells quiet_cells(const decode::BlockImage& blocks) {
  const double size = static_cast<double>(blocks.width) * blocks.height;
  const int least = std::max(1, static_cast<int>(std::sqrt(size / kUsualCells)));
  LightCells cells = cells_of(blocks, least);
  while (noise_of(cells) > kQuiet &&
         std::max(blocks.width, blocks.height) / (cells.step + 1) >= kLeastLongSide) {
    cells = cells_of(blocks, cells.step + 1);
  }
  return cells;
}

std::vector<float> mean_density(const LightCells& cells) {
  std::vector<float> density(cells.plane(), 0.0F);
  for (int c = 0; c < cells.channels; ++c) {
    for (std::size_t i = 0; i < density.size(); ++i) {
      density[i] += cells.density[c * cells.plane() + i] / static_cast<float>(cells.channels);
    }
  }
  return density;
}

}  // namespace basefog::area
