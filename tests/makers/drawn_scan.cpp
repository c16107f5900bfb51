// SPDX-License-Identifier: GPL-3.0-or-later
#include "makers/drawn_scan.hpp"

#include <algorithm>
#include <cmath>
#include <numbers>
#include <random>

namespace basefog::drawn {
namespace {

struct Place {
  double u;
  double v;
};

/// Where a point lies on a turned rectangle, 0 to 1 across it.
Place place_in(const area::FrameRegion& r, double x, double y) {
  const double a = r.angle_degrees * std::numbers::pi / 180;
  const double dx = x - r.centre_x;
  const double dy = y - r.centre_y;
  return {(dx * std::cos(a) - dy * std::sin(a)) / r.width + 0.5,
          (dx * std::sin(a) + dy * std::cos(a)) / r.height + 0.5};
}

bool inside(const Place& p) { return p.u >= 0 && p.u < 1 && p.v >= 0 && p.v < 1; }

/// Letters between the frame and the film's edge: bars of exposed film above and below the frame.
bool on_letter(const area::FrameRegion& frame, double x, double y) {
  const Place p = place_in(frame, x, y);
  const double below = (p.v - 1) * frame.height;
  const double above = -p.v * frame.height;
  const double off = std::max(below, above);
  if (off < 6 || off > 14 || p.u < 0.1 || p.u > 0.8) return false;
  const double along = p.u * frame.width;
  return std::fmod(along, 90) < 40 && std::fmod(along, 6) < 2.5;
}

bool masked(const Plan& p, double x, double y) {
  return x < p.mask_left || x >= p.width - p.mask_right || y < p.mask_top ||
         y >= p.height - p.mask_bottom;
}

double light_at(const Plan& plan, int channel, double x, double y) {
  if (masked(plan, x, y)) return 0;
  double density = plan.bare;
  const double fx = 2 * x / plan.width - 1;
  const double fy = 2 * y / plan.height - 1;
  density += plan.fall_off * (fx * fx + fy * fy) / 2;
  const bool on_film = plan.film.width == 0 || inside(place_in(plan.film, x, y));
  if (on_film) density += plan.base[channel];
  for (std::size_t i = 0; i < plan.frames.size(); ++i) {
    const Place p = place_in(plan.frames[i], x, y);
    if (inside(p)) density += plan.scenes[i](p.u, p.v);
    if (plan.edge_printing && on_film && on_letter(plan.frames[i], x, y)) density += 0.9;
  }
  return std::pow(10.0, -density);
}

void add_dust(const Plan& plan, decode::BlockImage& blocks, std::mt19937& random) {
  std::uniform_real_distribution<double> unit(0, 1);
  for (int k = 0; k < plan.dust; ++k) {
    const int x = static_cast<int>(unit(random) * plan.width);
    const int y = static_cast<int>(unit(random) * plan.height);
    const int length = 1 + static_cast<int>(unit(random) * 3);
    for (int i = 0; i < length && x + i < plan.width; ++i) {
      for (int c = 0; c < blocks.channels; ++c) blocks.mean[blocks.index(c, x + i, y)] *= 0.4F;
    }
  }
}

}  // namespace

Scene busy_scene(unsigned seed) {
  std::mt19937 random(seed);
  std::uniform_real_distribution<double> unit(0, 1);
  struct Box {
    double u, v, w, h, density;
  };
  std::vector<Box> boxes;
  for (int i = 0; i < 25; ++i) {
    boxes.push_back({unit(random), unit(random), 0.05 + 0.25 * unit(random),
                     0.05 + 0.3 * unit(random), 0.08 + 1.3 * unit(random)});
  }
  return [boxes](double u, double v) {
    double density = 0.5 + 0.25 * std::sin(7 * u + 3 * v) + 0.2 * std::cos(11 * v);
    for (const Box& b : boxes) {
      if (std::abs(u - b.u) < b.w / 2 && std::abs(v - b.v) < b.h / 2) density = b.density;
    }
    return std::max(density, 0.05);
  };
}

Scene night_scene() {
  return [](double u, double v) {
    if (u > 0.62 && u < 0.8 && v > 0.5 && v < 0.8) return 0.9;
    // A lit street reaches the lower edge and the right one.
    if (v > 0.85 && u > 0.3) return 0.4;
    return 0.0;
  };
}

Scene night_with_skyline() {
  return [](double u, double v) {
    const double roofs = 0.55 + 0.2 * std::sin(9 * u) + (std::fmod(u, 0.2) < 0.1 ? 0.07 : 0.0);
    if (v < roofs) return 0.0;
    return 0.35 + 0.3 * std::sin(40 * u) * std::sin(31 * v);
  };
}

Scene plain_scene(double net) {
  return [net](double, double) { return net; };
}

scan::Scan draw(const Plan& plan) {
  scan::Scan scan;
  scan.path = "drawn.tif";
  scan.width = plan.width * plan.block_side;
  scan.height = plan.height * plan.block_side;
  scan.format = "TIFF";
  decode::BlockImage& b = scan.blocks;
  b.width = plan.width;
  b.height = plan.height;
  b.channels = static_cast<int>(plan.base.size());
  b.block_side = plan.block_side;
  const std::size_t size = static_cast<std::size_t>(b.width) * b.height * b.channels;
  b.mean.resize(size);
  b.variance.resize(size);
  b.clipped.resize(size);
  b.floored.resize(size);
  scan.darkest.assign(b.channels, 2e-5);
  std::mt19937 random(plan.seed);
  std::normal_distribution<double> normal;
  constexpr int kPoints = 4;  // a side, within a block
  double total = 0;
  for (int c = 0; c < b.channels; ++c) {
    for (int y = 0; y < b.height; ++y) {
      for (int x = 0; x < b.width; ++x) {
        double sum = 0;
        double square = 0;
        for (int k = 0; k < kPoints * kPoints; ++k) {
          const double light = light_at(plan, c, x + (k % kPoints + 0.5) / kPoints,
                                        y + (k / kPoints + 0.5) / kPoints);
          sum += light;
          square += light * light;
        }
        const double mean = sum / (kPoints * kPoints);
        const double grain = plan.pixel_noise * std::log(10.0) * mean;
        const std::size_t i = b.index(c, x, y);
        b.mean[i] = static_cast<float>(mean + grain / plan.block_side * normal(random));
        b.variance[i] = static_cast<float>(
            std::max(0.0, square / (kPoints * kPoints) - mean * mean) + grain * grain);
        total += mean;
      }
    }
  }
  add_dust(plan, b, random);
  const double flare = plan.flare * total / static_cast<double>(size);
  for (std::size_t i = 0; i < size; ++i) {
    b.mean[i] *= static_cast<float>(1 - plan.flare);
    b.mean[i] = std::max(b.mean[i] + static_cast<float>(flare + 1e-5 * normal(random)), 0.0F);
    if (b.mean[i] >= 1.0F) b.clipped[i] = 255;
    if (b.mean[i] <= scan.darkest[0]) b.floored[i] = 255;
    b.mean[i] = std::min(b.mean[i], 1.0F);
  }
  return scan;
}

std::vector<area::FrameRegion> true_frames(const Plan& plan) {
  std::vector<area::FrameRegion> out = plan.frames;
  for (area::FrameRegion& f : out) {
    f.centre_x *= plan.block_side;
    f.centre_y *= plan.block_side;
    f.width *= plan.block_side;
    f.height *= plan.block_side;
  }
  return out;
}

double overlap(const area::FrameRegion& a, const area::FrameRegion& b) {
  constexpr int kPoints = 300;
  int common = 0;
  for (int j = 0; j < kPoints; ++j) {
    for (int i = 0; i < kPoints; ++i) {
      const double t = a.angle_degrees * std::numbers::pi / 180;
      const double du = ((i + 0.5) / kPoints - 0.5) * a.width;
      const double dv = ((j + 0.5) / kPoints - 0.5) * a.height;
      common += inside(place_in(b, a.centre_x + du * std::cos(t) + dv * std::sin(t),
                                a.centre_y - du * std::sin(t) + dv * std::cos(t)))
                    ? 1
                    : 0;
    }
  }
  const double area = a.width * a.height * common / (kPoints * kPoints);
  return area / (a.width * a.height + b.width * b.height - area);
}

}  // namespace basefog::drawn
