// SPDX-License-Identifier: GPL-3.0-or-later
#include "makers/strewn_film.hpp"

#include <algorithm>
#include <cmath>
#include <numbers>
#include <random>

namespace basefog::strewn {
namespace {

constexpr int kPixelsPerBlock = 8;  // a side
constexpr double kOpaque = 4;       // density of what lets no light through

// Perforations of 35 mm film [ISO1007].
constexpr double kPitch = 4.75;
constexpr double kHoleAlong = 1.98;
constexpr double kHoleAcross = 2.8;
constexpr double kHoleFromEdge = 2.0;

double radians(double degrees) { return degrees * std::numbers::pi / 180; }

/// Turned about a piece's centre: along and across from it.
Point turned(const Piece& piece, const Point& p) {
  const double a = radians(piece.angle_degrees);
  const double dx = p.x - piece.centre.x;
  const double dy = p.y - piece.centre.y;
  return {dx * std::cos(a) - dy * std::sin(a), dx * std::sin(a) + dy * std::cos(a)};
}

double bent(const Piece& piece, double along) {
  const double share = 2 * along / piece.length;
  return piece.bow * (1 - share * share);
}

/// Along and across from the film's upper left corner.
Point on_film(const Piece& piece, const Point& p) {
  const Point t = turned(piece, p);
  return {t.x + piece.length / 2, t.y - bent(piece, t.x) + piece.stock.film_width / 2};
}

bool in_hole(const Stock& stock, const Point& f) {
  if (!stock.perforated) return false;
  const double from_edge = std::min(f.y, stock.film_width - f.y);
  return from_edge > kHoleFromEdge && from_edge < kHoleFromEdge + kHoleAcross &&
         std::fmod(f.x + 1.4, kPitch) < kHoleAlong;
}

/// Edge printing: bars of exposed film along the lower edge.
bool in_print(const Stock& stock, const Point& f) {
  const double from_edge = stock.film_width - f.y;
  const double middle = stock.perforated ? 1.0 : 1.3;
  return std::abs(from_edge - middle) < 0.45 && std::fmod(f.x, 19) < 7 && std::fmod(f.x, 1.1) < 0.5;
}

struct Light {
  double base = 0;     ///< how many layers of film
  double picture = 0;  ///< density above base
  double other = 0;    ///< density of all else, the same in every channel
};

void add_piece(const Piece& piece, const Point& p, Light& light) {
  const Stock& stock = piece.stock;
  const Point f = on_film(piece, p);
  if (piece.mount > 0) {
    const Point t = turned(piece, p);
    if (std::max(std::abs(t.x), std::abs(t.y)) > piece.mount / 2) return;
    const double u = t.x / (stock.along - 1.6) + 0.5;  // mounts cover the picture's edge
    const double v = t.y / (stock.across - 1.2) + 0.5;
    if (u < 0 || u > 1 || v < 0 || v > 1) {
      light.other += kOpaque;
      return;
    }
    light.base += 1;
    light.picture += piece.shots.front().picture(u, v);
    return;
  }
  if (f.x < 0 || f.x > piece.length || f.y < 0 || f.y > stock.film_width) return;
  if (in_hole(stock, f)) return;
  light.base += 1;
  if (in_print(stock, f)) light.picture += 0.9;
  const double v = (f.y - (stock.film_width - stock.across) / 2) / stock.across;
  if (v < 0 || v > 1) return;
  for (std::size_t i = 0; i < piece.shots.size(); ++i) {
    const double start = piece.lead + static_cast<double>(i) * stock.pitch + piece.shots[i].slip;
    const double u = (f.x - start) / stock.along;
    if (u >= 0 && u <= 1) light.picture += piece.shots[i].picture(u, v);
  }
}

void add_bar(const Bar& bar, const Point& p, Light& light) {
  const double length = std::hypot(bar.to.x - bar.from.x, bar.to.y - bar.from.y);
  const Point d{(bar.to.x - bar.from.x) / length, (bar.to.y - bar.from.y) / length};
  const double along = (p.x - bar.from.x) * d.x + (p.y - bar.from.y) * d.y;
  const double across = -(p.x - bar.from.x) * d.y + (p.y - bar.from.y) * d.x;
  if (along < 0 || along > length || std::abs(across) > bar.width / 2) return;
  light.other += bar.density;
  if (bar.tick > 0 && across > 0 && std::fmod(along, bar.tick) < 0.3) light.other += 1;
}

/// What a piece may cover, to look no further for it elsewhere.
double reach_of(const Piece& piece) {
  return std::hypot(std::max(piece.length, piece.mount),
                    std::max(piece.stock.film_width, piece.mount)) /
             2 +
         std::abs(piece.bow);
}

Light light_at(const Glass& glass, const std::vector<double>& reach, const Point& p) {
  Light light;
  const double border = std::min({p.x, p.y, glass.width - p.x, glass.height - p.y});
  if (border < glass.frame) {
    light.other = kOpaque;
    return light;
  }
  const double fx = 2 * p.x / glass.width - 1;
  const double fy = 2 * p.y / glass.height - 1;
  light.other = -std::log10(glass.light) + glass.fall_off * (fx * fx + fy * fy) / 2;
  if (glass.sleeve > 0 && border > glass.sleeve_border) light.other += glass.sleeve;
  for (std::size_t i = 0; i < glass.pieces.size(); ++i) {
    const Piece& piece = glass.pieces[i];
    if (std::hypot(p.x - piece.centre.x, p.y - piece.centre.y) < reach[i]) {
      add_piece(piece, p, light);
    }
  }
  for (const Bar& bar : glass.bars) add_bar(bar, p, light);
  for (const Finger& f : glass.fingers) {
    if (std::hypot((p.x - f.centre.x) / f.half.x, (p.y - f.centre.y) / f.half.y) < 1) {
      light.other += kOpaque;
    }
  }
  return light;
}

bool covered(const Glass& glass, const Point& p) {
  const double border = std::min({p.x, p.y, glass.width - p.x, glass.height - p.y});
  return border < glass.frame ||
         std::any_of(glass.fingers.begin(), glass.fingers.end(), [&](const Finger& f) {
           return std::hypot((p.x - f.centre.x) / f.half.x, (p.y - f.centre.y) / f.half.y) < 1;
         });
}

}  // namespace

double pixels_per_mm(const Glass& glass) { return kPixelsPerBlock / glass.mm_per_block; }

Point on_glass(const Piece& piece, double u, double v) {
  const double along = u - piece.length / 2;
  const double across = v - piece.stock.film_width / 2 + bent(piece, along);
  const double a = radians(piece.angle_degrees);
  return {piece.centre.x + along * std::cos(a) + across * std::sin(a),
          piece.centre.y - along * std::sin(a) + across * std::cos(a)};
}

scan::Scan draw(const Glass& glass) {
  scan::Scan scan;
  scan.path = "strewn.tif";
  scan.format = "TIFF";
  decode::BlockImage& b = scan.blocks;
  b.width = static_cast<int>(glass.width / glass.mm_per_block);
  b.height = static_cast<int>(glass.height / glass.mm_per_block);
  b.channels = static_cast<int>(glass.base.size());
  b.block_side = kPixelsPerBlock;
  scan.width = b.width * kPixelsPerBlock;
  scan.height = b.height * kPixelsPerBlock;
  const std::size_t size = static_cast<std::size_t>(b.width) * b.height * b.channels;
  b.mean.assign(size, 0);
  b.variance.assign(size, 0);
  b.clipped.assign(size, 0);
  b.floored.assign(size, 0);
  scan.darkest.assign(b.channels, 2e-5);
  std::vector<double> reach;
  for (const Piece& piece : glass.pieces) reach.push_back(reach_of(piece));
  std::mt19937 random(glass.seed);
  std::normal_distribution<double> normal;
  constexpr int kPoints = 3;  // a side, within a block
  for (int y = 0; y < b.height; ++y) {
    for (int x = 0; x < b.width; ++x) {
      std::array<double, 3> sum{};
      std::array<double, 3> square{};
      for (int k = 0; k < kPoints * kPoints; ++k) {
        const Light at = light_at(glass, reach,
                                  {(x + (k % kPoints + 0.5) / kPoints) * glass.mm_per_block,
                                   (y + (k / kPoints + 0.5) / kPoints) * glass.mm_per_block});
        for (int c = 0; c < b.channels; ++c) {
          const double density = at.other + at.base * glass.base[c] + at.picture * glass.gamma[c];
          const double light = std::min(1.0, std::pow(10.0, -density));
          sum[c] += light;
          square[c] += light * light;
        }
      }
      for (int c = 0; c < b.channels; ++c) {
        const double mean = sum[c] / (kPoints * kPoints);
        const double grain = glass.grain * std::numbers::ln10 * mean;
        const std::size_t i = b.index(c, x, y);
        b.mean[i] = static_cast<float>(std::clamp(mean + grain * normal(random) + 2e-5, 0.0, 1.0));
        b.variance[i] =
            static_cast<float>(std::max(0.0, square[c] / (kPoints * kPoints) - mean * mean) +
                               kPixelsPerBlock * kPixelsPerBlock * grain * grain);
      }
    }
  }
  return scan;
}

std::vector<DrawnFrame> frames_of(const Glass& glass) {
  std::vector<DrawnFrame> out;
  const double scale = pixels_per_mm(glass);
  for (std::size_t i = 0; i < glass.pieces.size(); ++i) {
    const Piece& piece = glass.pieces[i];
    const Stock& stock = piece.stock;
    for (std::size_t k = 0; k < piece.shots.size(); ++k) {
      const bool mounted = piece.mount > 0;
      const double along = stock.along - (mounted ? 1.6 : 0);
      const double across = stock.across - (mounted ? 1.2 : 0);
      const double start =
          mounted ? (piece.length - along) / 2
                  : piece.lead + static_cast<double>(k) * stock.pitch + piece.shots[k].slip;
      const double top = (stock.film_width - across) / 2;
      DrawnFrame frame{i, k, {}, start >= 0 && start + along <= piece.length, piece.shots[k].plain};
      // Cut film ends where the frame does.
      const double from = std::max(start, 0.0);
      const double to = std::min(start + along, piece.length);
      if (to <= from) continue;
      const std::array<Point, 4> corners = {on_glass(piece, from, top), on_glass(piece, to, top),
                                            on_glass(piece, to, top + across),
                                            on_glass(piece, from, top + across)};
      constexpr int kSteps = 12;
      for (int step = 0; step < kSteps * kSteps; ++step) {
        const double u = from + (to - from) * (step % kSteps) / (kSteps - 1.0);
        const double v = top + across * (step / kSteps) / (kSteps - 1.0);
        frame.whole = frame.whole && !covered(glass, on_glass(piece, u, v));
      }
      for (std::size_t c = 0; c < 4; ++c) {
        frame.corners[c] = {std::clamp(corners[c].x, 0.0, glass.width) * scale,
                            std::clamp(corners[c].y, 0.0, glass.height) * scale};
        frame.whole = frame.whole && corners[c].x > 0 && corners[c].x < glass.width &&
                      corners[c].y > 0 && corners[c].y < glass.height;
      }
      out.push_back(frame);
    }
  }
  return out;
}

Picture any_picture(unsigned seed) {
  std::mt19937 random(seed);
  std::uniform_real_distribution<double> unit(0, 1);
  struct Disc {
    double u, v, r, density;
  };
  std::vector<Disc> discs;
  for (int i = 0; i < 9; ++i) {
    discs.push_back({unit(random), unit(random), 0.05 + 0.25 * unit(random), 1.5 * unit(random)});
  }
  const double horizon = 0.2 + 0.6 * unit(random);
  const double sky = 0.4 + 1.0 * unit(random);
  const double ground = 0.1 + 0.5 * unit(random);
  const double tilt = 0.2 * unit(random) - 0.1;
  const double ripple = 20 + 40 * unit(random);
  return [=](double u, double v) {
    double density = v + tilt * u < horizon
                         ? sky - 0.3 * v
                         : ground + 0.08 * std::sin(ripple * u) * std::sin(ripple * 0.7 * v);
    for (const Disc& d : discs) {
      if (std::hypot(u - d.u, (v - d.v) * 0.7) < d.r) density = d.density * (0.8 + 0.3 * u);
    }
    return std::max(density, 0.05);
  };
}

Picture even_picture(double density) {
  return [density](double, double) { return density; };
}

Picture split_picture(double left, double right) {
  return [left, right](double u, double v) { return (u < 0.5 ? left : right) + 0.05 * v; };
}

Picture dark_picture(unsigned seed) {
  std::mt19937 random(seed);
  std::uniform_real_distribution<double> unit(0, 1);
  const double wall = 0.3 + 0.4 * unit(random);
  const double lamp_u = unit(random);
  const double lamp_v = unit(random);
  const bool left = unit(random) < 0.5;
  return [=](double u, double v) {
    const double at = left ? u : 1 - u;
    if (std::hypot(u - lamp_u, v - lamp_v) < 0.08) return 1.6;
    if (at < wall && v > 0.35) return 0.3 + 0.4 * v * (1 - at);
    return 0.02;
  };
}

}  // namespace basefog::strewn
