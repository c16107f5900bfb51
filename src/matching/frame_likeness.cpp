// SPDX-License-Identifier: GPL-3.0-or-later
#include "matching/frame_likeness.hpp"

#include <algorithm>
#include <cmath>

namespace basefog::matching {
namespace {

/// Correlation over the part that two sketches share where b is moved by (dx, dy).
std::optional<double> correlation(const PictureSketch& a, const PictureSketch& b, int dx, int dy) {
  double sum_a = 0;
  double sum_b = 0;
  double sum_aa = 0;
  double sum_bb = 0;
  double sum_ab = 0;
  int count = 0;
  for (int y = std::max(0, dy); y < PictureSketch::kRows + std::min(0, dy); ++y) {
    for (int x = std::max(0, dx); x < PictureSketch::kColumns + std::min(0, dx); ++x) {
      const double at = a.density[static_cast<std::size_t>(y * PictureSketch::kColumns + x)];
      const double bt =
          b.density[static_cast<std::size_t>((y - dy) * PictureSketch::kColumns + x - dx)];
      sum_a += at;
      sum_b += bt;
      sum_aa += at * at;
      sum_bb += bt * bt;
      sum_ab += at * bt;
      ++count;
    }
  }
  const double variance_a = sum_aa / count - sum_a * sum_a / count / count;
  const double variance_b = sum_bb / count - sum_b * sum_b / count / count;
  constexpr double kNoContrast = 1e-4;  // density squared: a hundredth from place to place
  if (variance_a < kNoContrast || variance_b < kNoContrast) return std::nullopt;
  return (sum_ab / count - sum_a * sum_b / count / count) / std::sqrt(variance_a * variance_b);
}

}  // namespace

PictureSketch sketch_of(const density::ApertureGrid& grid) {
  PictureSketch sketch{.upright = grid.rows > grid.columns};
  if (grid.columns < PictureSketch::kColumns || grid.rows < PictureSketch::kRows) return sketch;
  double sum = 0;
  for (int row = 0; row < PictureSketch::kRows; ++row) {
    for (int column = 0; column < PictureSketch::kColumns; ++column) {
      double cell = 0;
      int count = 0;
      for (int c = 0; c < grid.channels; ++c) {
        for (int y = row * grid.rows / PictureSketch::kRows;
             y < (row + 1) * grid.rows / PictureSketch::kRows; ++y) {
          for (int x = column * grid.columns / PictureSketch::kColumns;
               x < (column + 1) * grid.columns / PictureSketch::kColumns; ++x, ++count) {
            cell += grid.density[grid.index(c, x, y)];
          }
        }
      }
      sketch.density.push_back(static_cast<float>(cell / count));
      sum += cell / count;
    }
  }
  const auto mean = static_cast<float>(sum / static_cast<double>(sketch.density.size()));
  for (float& density : sketch.density) density -= mean;
  return sketch;
}

std::optional<double> likeness(const PictureSketch& a, const PictureSketch& b) {
  constexpr std::size_t kCells = std::size_t{PictureSketch::kColumns} * PictureSketch::kRows;
  if (a.density.size() != kCells || b.density.size() != kCells || a.upright != b.upright) {
    return std::nullopt;
  }
  std::optional<double> best;
  // A sixth: more, and what is left to compare is no longer the view (judgement).
  constexpr int kMostColumns = PictureSketch::kColumns / 6;
  constexpr int kMostRows = PictureSketch::kRows / 6;
  for (int dy = -kMostRows; dy <= kMostRows; ++dy) {
    for (int dx = -kMostColumns; dx <= kMostColumns; ++dx) {
      const auto here = correlation(a, b, dx, dy);
      if (here && (!best || *here > *best)) best = here;
    }
  }
  return best;
}

}  // namespace basefog::matching
