// SPDX-License-Identifier: GPL-3.0-or-later
#include "basefog/blur.hpp"

#include <fmt/format.h>

#include <algorithm>
#include <array>
#include <cmath>
#include <numbers>
#include <vector>

#include "numeric/quantile.hpp"

namespace basefog {
namespace {

constexpr int kLeastSide = 240;  ///< pixels along the long side
constexpr int kDirections = 6;   ///< bins of an edge's own direction of rise, 30 degrees each
constexpr int kReach = 12;       ///< pixels either way along which an edge is followed
/// Edges in a direction from which on their width is known, and in the picture.
constexpr std::size_t kFewestInDirection = 25;
constexpr std::size_t kFewestEdges = 80;
/// An edge must rise by this much density and by this many sigmas of grain.
constexpr double kLeastRise = 0.08;
constexpr double kRiseOverGrain = 10;
/// Share of edges that are held to be as steep as the picture allows: most are soft by nature.
constexpr double kSteepest = 0.10;
/// Pixels. A step between two pixels, read between pixels, is 1 to 1.6 wide; up to kSharp is as
/// good as can be seen. Between kSharp and kBlurred lie pictures with little fine detail, of which
/// nothing is said.
constexpr double kSharp = 2.0;
constexpr double kBlurred = 3.0;
/// Blur is movement where it is this much wider one way than the other.
constexpr double kMovedRatio = 1.8;
/// Grain that hangs together more than this between neighbours proves no scan sharp, and where the
/// whole picture is soft the scan is.
constexpr double kSoftGrain = 0.45;
/// Grain weaker than this, density, is not told from the file's own steps.
constexpr double kLeastGrain = 0.0015;

/// The mean density of the channels.
class Densities {
 public:
  explicit Densities(const NegativePicture& picture)
      : width_(picture.width), height_(picture.height) {
    const std::size_t plane = static_cast<std::size_t>(width_) * height_;
    value_.assign(plane, 0);
    const float weight = 0.001F / static_cast<float>(picture.channels);
    for (int c = 0; c < picture.channels; ++c) {
      for (std::size_t i = 0; i < plane; ++i) {
        value_[i] += static_cast<float>(picture.millidensity[c * plane + i]) * weight;
      }
    }
  }
  int width() const { return width_; }
  int height() const { return height_; }
  double at(int x, int y) const {
    return value_[static_cast<std::size_t>(std::clamp(y, 0, height_ - 1)) * width_ +
                  std::clamp(x, 0, width_ - 1)];
  }
  double between(double x, double y) const {
    const int i = static_cast<int>(std::floor(x));
    const int j = static_cast<int>(std::floor(y));
    const double u = x - i;
    const double v = y - j;
    return (1 - v) * ((1 - u) * at(i, j) + u * at(i + 1, j)) +
           v * ((1 - u) * at(i, j + 1) + u * at(i + 1, j + 1));
  }

 private:
  int width_;
  int height_;
  std::vector<float> value_;
};

struct Grain {
  double sigma = 0;        ///< density, of a pixel
  double correlation = 0;  ///< of a pixel with the next
};

constexpr int kTile = 8;

/// What is left of a tile once its mean and slopes are taken off: the mean square, and the mean
/// product of neighbours.
struct Tile {
  double variance = 0;
  double products = 0;
};

Tile tile_at(const Densities& picture, int x, int y) {
  constexpr double kMiddle = (kTile - 1) / 2.0;
  constexpr double kCount = kTile * kTile;
  constexpr double kSquares = kCount * (kTile * kTile - 1) / 12.0;
  double mean = 0;
  double slope_x = 0;
  double slope_y = 0;
  for (int j = 0; j < kTile; ++j) {
    for (int i = 0; i < kTile; ++i) {
      const double d = picture.at(x + i, y + j);
      mean += d / kCount;
      slope_x += d * (i - kMiddle) / kSquares;
      slope_y += d * (j - kMiddle) / kSquares;
    }
  }
  const auto rest = [&](int i, int j) {
    return picture.at(x + i, y + j) - mean - slope_x * (i - kMiddle) - slope_y * (j - kMiddle);
  };
  Tile tile;
  for (int j = 0; j < kTile; ++j) {
    for (int i = 0; i < kTile; ++i) {
      const double here = rest(i, j);
      tile.variance += here * here / (kCount - 3);
      if (i + 1 < kTile) tile.products += here * rest(i + 1, j);
      if (j + 1 < kTile) tile.products += here * rest(i, j + 1);
    }
  }
  tile.products /= 2.0 * kTile * (kTile - 1);
  return tile;
}

/// Grain in the smoothest tenth of the picture's tiles, where little else is left.
Grain grain_of(const Densities& picture) {
  constexpr double kSmoothest = 0.10;
  std::vector<Tile> tiles;
  for (int y = 0; y + kTile <= picture.height(); y += kTile) {
    for (int x = 0; x + kTile <= picture.width(); x += kTile) {
      tiles.push_back(tile_at(picture, x, y));
    }
  }
  if (tiles.empty()) return {};
  std::ranges::sort(tiles, {}, &Tile::variance);
  tiles.resize(1 + static_cast<std::size_t>(kSmoothest * static_cast<double>(tiles.size() - 1)));
  double variance = 0;
  double products = 0;
  for (const Tile& tile : tiles) {
    variance += tile.variance / static_cast<double>(tiles.size());
    products += tile.products / static_cast<double>(tiles.size());
  }
  if (variance <= 0) return {};
  return {std::sqrt(variance), products / variance};
}

/// Blur smears the light and not the densities, so that in density a smeared edge is steepest at
/// its dark end, the more so the stronger it is. Light goes as 10^(density / this), the average
/// gradient of ISO 6 development.
constexpr double kGradient = 0.62;

/// The run of one sign through a place along the direction of rise: its whole step and width.
struct Edge {
  double rise = 0;   ///< density
  double width = 0;  ///< step over the steepest slope, of light, pixels
};

Edge edge_at(const Densities& picture, int x, int y, double along_x, double along_y) {
  std::array<double, 2 * kReach + 1> profile{};
  for (int i = -kReach; i <= kReach; ++i) {
    profile[static_cast<std::size_t>(i + kReach)] =
        picture.between(x + i * along_x, y + i * along_y);
  }
  std::size_t first = kReach;
  std::size_t last = kReach;
  while (first > 0 && profile[first - 1] < profile[first]) --first;
  while (last + 1 < profile.size() && profile[last + 1] > profile[last]) ++last;
  Edge edge;
  edge.rise = profile[last] - profile[first];
  const auto light = [&](std::size_t i) {
    return std::pow(10.0, (profile[i] - profile[first]) / kGradient);
  };
  double steepest = 0;
  double before = 1;
  for (std::size_t i = first + 1; i <= last; ++i) {
    const double here = light(i);
    steepest = std::max(steepest, here - before);
    before = here;
  }
  if (steepest > 0) edge.width = (before - 1) / steepest;
  return edge;
}

/// Widths of the picture's strong edges, by direction of rise.
std::array<std::vector<double>, kDirections> edge_widths(const Densities& picture, double grain) {
  std::array<std::vector<double>, kDirections> widths;
  const double least_rise = std::max(kLeastRise, kRiseOverGrain * grain);
  const auto slope = [&](int x, int y) {
    return std::array{(picture.at(x + 1, y) - picture.at(x - 1, y)) / 2,
                      (picture.at(x, y + 1) - picture.at(x, y - 1)) / 2};
  };
  for (int y = kReach; y + kReach < picture.height(); ++y) {
    for (int x = kReach; x + kReach < picture.width(); ++x) {
      const auto [dx, dy] = slope(x, y);
      const double steep = std::hypot(dx, dy);
      // No edge that rises enough over the widest that is followed is flatter than this.
      if (steep < least_rise / (2 * kReach)) continue;
      const double along_x = dx / steep;
      const double along_y = dy / steep;
      // Steepest along its own direction, so that an edge counts once.
      const auto steep_at = [&](double sign) {
        const auto [u, v] = slope(x + static_cast<int>(std::lround(sign * along_x)),
                                  y + static_cast<int>(std::lround(sign * along_y)));
        return u * along_x + v * along_y;
      };
      if (steep_at(1) > steep || steep_at(-1) >= steep) continue;
      const Edge edge = edge_at(picture, x, y, along_x, along_y);
      if (edge.rise < least_rise) continue;
      double angle = std::atan2(dy, dx) / std::numbers::pi;  // -1 to 1
      if (angle < 0) angle += 1;
      const int bin = static_cast<int>(std::lround(angle * kDirections)) % kDirections;
      widths[static_cast<std::size_t>(bin)].push_back(edge.width);
    }
  }
  return widths;
}

BlurFinding finding_of(double least, double greatest, bool all_ways,
                       const std::optional<double>& grain) {
  if (least <= kSharp && greatest <= kBlurred) return BlurFinding::sharp;
  if (greatest < kBlurred || !grain) return BlurFinding::cannot_tell;
  if (*grain > kSoftGrain) {
    return least > kSharp ? BlurFinding::soft_scan : BlurFinding::cannot_tell;
  }
  if (!all_ways) return BlurFinding::cannot_tell;
  if (greatest > kMovedRatio * least) return BlurFinding::moved;
  return least >= kBlurred ? BlurFinding::out_of_focus : BlurFinding::cannot_tell;
}

}  // namespace

std::string_view name_of(BlurFinding finding) {
  constexpr std::array<std::string_view, 5> kNames = {"cannot_tell", "sharp", "soft_scan", "moved",
                                                      "out_of_focus"};
  return kNames.at(static_cast<std::size_t>(finding));
}

BlurReading read_blur(const NegativePicture& negative) {
  BlurReading reading;
  const int side = std::max(negative.width, negative.height);
  if (side < kLeastSide || negative.channels < 1) return reading;
  const Densities picture(negative);
  const Grain grain = grain_of(picture);
  if (grain.sigma > kLeastGrain) reading.grain_correlation = grain.correlation;
  auto widths = edge_widths(picture, grain.sigma);
  double least = 1e9;
  double greatest = 0;
  int known = 0;
  for (std::size_t i = 0; i < widths.size(); ++i) {
    reading.edges += static_cast<int>(widths[i].size());
    if (widths[i].size() < kFewestInDirection) continue;
    ++known;
    std::ranges::sort(widths[i]);
    const double width = sorted_quantile(widths[i], kSteepest);
    least = std::min(least, width);
    if (width > greatest) {
      greatest = width;
      reading.direction_degrees = 180.0 * static_cast<double>(i) / kDirections;
    }
  }
  constexpr int kMostWays = kDirections / 2 + 1;
  if (known == 0 || static_cast<std::size_t>(reading.edges) < kFewestEdges) return reading;
  reading.least_width = least / side;
  reading.greatest_width = greatest / side;
  reading.finding = finding_of(least, greatest, known >= kMostWays, reading.grain_correlation);
  return reading;
}

std::string blur_text(const BlurReading& blur, std::optional<ShutterTime> time,
                      std::optional<ShutterTime> hand_hold_limit) {
  const bool blurred =
      blur.finding == BlurFinding::moved || blur.finding == BlurFinding::out_of_focus;
  std::string text;
  switch (blur.finding) {
    case BlurFinding::moved:
      text =
          "The grain is sharp but the picture is smeared one way: the camera or the subject "
          "moved.";
      break;
    case BlurFinding::out_of_focus:
      text =
          "The grain is sharp but nothing in the picture is: out of focus, moved every way, or a "
          "subject without a sharp edge.";
      break;
    case BlurFinding::soft_scan:
      text =
          "Grain and picture are soft alike: the scan is out of focus or was smoothed, so "
          "nothing is known of the negative's sharpness.";
      break;
    case BlurFinding::cannot_tell:
    case BlurFinding::sharp:
      break;
  }
  if (!time || !hand_hold_limit || time->seconds() <= hand_hold_limit->seconds()) return text;
  const std::string slower = fmt::format("{} is slower than the hand-hold limit of {}",
                                         as_marked(*time), as_marked(*hand_hold_limit));
  if (blurred) return text + " " + slower + ", and it shows.";
  if (blur.finding == BlurFinding::sharp) {
    return text + slower + ", and it does not show at the size that was looked at.";
  }
  return text;
}

}  // namespace basefog
