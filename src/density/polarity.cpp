// SPDX-License-Identifier: GPL-3.0-or-later
#include "density/polarity.hpp"

#include <algorithm>
#include <array>
#include <cmath>
#include <cstdint>
#include <functional>
#include <optional>
#include <utility>
#include <vector>

#include "area/even_density.hpp"
#include "numeric/quantile.hpp"

namespace basefog::density {
namespace {

/// A mask lets less than this through, flare and all (common practice); full scale is 1.
constexpr double kLeastLightOfFilm = 0.05;
/// An even tone, with grain and noise, keeps within this density of its middle (judgement).
constexpr double kEven = 0.06;
/// How deep from the scan's side the surround is looked for, as a share of its width or height, and
/// in how many segments; three in four of them must show it, on three sides (judgement).
constexpr double kDepth = 0.15;
constexpr int kSegments = 8;
constexpr int kLeastSides = 3;
/// Fewer blocks are no picture.
constexpr std::size_t kLeastBlocks = 400;
/// So much of the scan must be brighter than the surround, or the scan is of one tone (judgement).
constexpr double kPicture = 0.3;

/// Density of each block against full scale, mean of the channels, light smoothed over 3 x 3 blocks
/// so that grain, which a picture's shadows magnify when inverted, does not break up a tone.
std::vector<float> smooth_density(const decode::BlockImage& blocks) {
  std::vector<float> density(static_cast<std::size_t>(blocks.width) * blocks.height, 0);
  for (int c = 0; c < blocks.channels; ++c) {
    for (int y = 0; y < blocks.height; ++y) {
      std::array<const float*, 3> rows{};
      for (int dy = -1; dy <= 1; ++dy) {
        rows[dy + 1] = &blocks.mean[blocks.index(c, 0, std::clamp(y + dy, 0, blocks.height - 1))];
      }
      for (int x = 0; x < blocks.width; ++x) {
        const int before = std::max(x - 1, 0);
        const int after = std::min(x + 1, blocks.width - 1);
        float light = 0;
        for (const float* row : rows) {
          light += row[before];
          light += row[x];
          light += row[after];
        }
        density[static_cast<std::size_t>(y) * blocks.width + x] -=
            std::log10(std::max(static_cast<float>(area::kLeastLight), light / 9)) /
            static_cast<float>(blocks.channels);
      }
    }
  }
  return density;
}

/// The darkest even tone: the first window from the dark side, as wide as an even tone, that holds
/// three blocks in a hundred; what is darker still (slivers of mask or scratches) is less than a
/// twentieth. Its density, as the median of what lies about it.
std::optional<double> darkest_even_tone(const std::vector<float>& density) {
  std::vector<float> falling = density;
  const std::size_t held = falling.size() * 3 / 100;
  const std::size_t darker = falling.size() / 20;
  // No more of them need be in order than are looked at.
  const auto looked_at = falling.begin() + static_cast<std::ptrdiff_t>(darker + held + 1);
  std::nth_element(falling.begin(), looked_at, falling.end(), std::greater<>());
  std::sort(falling.begin(), looked_at, std::greater<>());
  std::size_t first = 0;
  while (falling[first] - falling[first + held] >= 2 * kEven) {
    if (++first > darker) return std::nullopt;
  }
  double tone = falling[first + held / 2];
  for (int round = 0; round < 3; ++round) {
    std::vector<float> about;
    for (const float d : falling) {
      if (std::abs(d - tone) < kEven) about.push_back(d);
    }
    tone = numeric::median(std::move(about));
  }
  return tone;
}

/// Blocks of one tone, and whether lines of them run along the scan's sides. A side is looked at in
/// segments, so that film may lie a little turned.
class ToneAlongSides {
 public:
  ToneAlongSides(const std::vector<float>& density, int width, int height, double tone)
      : width_(width), height_(height), has_(density.size()) {
    for (std::size_t i = 0; i < density.size(); ++i) has_[i] = std::abs(density[i] - tone) < kEven;
  }

  int sides() const {
    return runs_along(width_, height_,
                      [](int along, int depth) { return std::pair(along, depth); }) +
           runs_along(
               width_, height_,
               [h = height_](int along, int depth) { return std::pair(along, h - 1 - depth); }) +
           runs_along(height_, width_,
                      [](int along, int depth) { return std::pair(depth, along); }) +
           runs_along(height_, width_, [w = width_](int along, int depth) {
             return std::pair(w - 1 - depth, along);
           });
  }

 private:
  template <class Place>
  bool runs_along(int length, int across, Place place) const {
    constexpr double kLine = 0.75;   // share of a line's blocks; edge printing and dust take some
    const int margin = length / 10;  // corners belong to the next side
    const int deepest = static_cast<int>(kDepth * across);
    int found = 0;
    for (int s = 0; s < kSegments; ++s) {
      const int from = margin + (length - 2 * margin) * s / kSegments;
      const int to = margin + (length - 2 * margin) * (s + 1) / kSegments;
      for (int depth = 0; depth < deepest; ++depth) {
        int count = 0;
        for (int along = from; along < to; ++along) {
          const auto [x, y] = place(along, depth);
          count += has_[static_cast<std::size_t>(y) * width_ + x];
        }
        if (to > from && count >= kLine * (to - from)) {
          ++found;
          break;
        }
      }
    }
    return found >= kSegments * 3 / 4;
  }

  int width_;
  int height_;
  std::vector<std::uint8_t> has_;
};

}  // namespace

bool shows_positive(const decode::BlockImage& blocks) {
  const std::vector<float> density = smooth_density(blocks);
  if (density.size() < kLeastBlocks) return false;
  const std::optional<double> tone = darkest_even_tone(density);
  if (!tone || std::pow(10, -*tone) < kLeastLightOfFilm) return false;
  // A scan of one tone all over is clear film or fog, not a picture with a surround.
  if (*tone - numeric::quantile(density, kPicture) < 2 * kEven) return false;
  return ToneAlongSides(density, blocks.width, blocks.height, *tone).sides() >= kLeastSides;
}

}  // namespace basefog::density
